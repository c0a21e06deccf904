"""The ring in three dimensions, and everything one does to it with pointer and keys."""
