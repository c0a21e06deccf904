"""The closed triangle mesh, built directly and welded by index."""
