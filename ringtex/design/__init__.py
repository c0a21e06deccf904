"""The design as frozen data, its file and versions."""
