"""Cells that tile the strip, one file a family."""
