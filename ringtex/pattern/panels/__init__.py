"""Framed rectangles of the strip with patterns of their own."""
