"""Mesh files: one writer and reader a format, read back and compared before a file is put in place."""
