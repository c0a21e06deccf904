"""The triangle mesh: its self-check, booleans, short edges and triangulations between rows of points."""
