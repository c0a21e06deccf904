"""Draws the strip editor's state; changes nothing."""
