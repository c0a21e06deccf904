"""Rings built beside the window, made ready to draw, and the state that all views share."""
