"""The desktop program: the only room that knows Qt."""
