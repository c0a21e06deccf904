"""Checks of stones: their seating, their holes, their distance to each other and to the hollow."""
