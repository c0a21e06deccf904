"""The ring in three dimensions, and everything one does to it with the hand."""
