"""Finger size, bore and the smooth band that carries the pattern."""
