"""Height as a function of the distance from a cell's wall."""
