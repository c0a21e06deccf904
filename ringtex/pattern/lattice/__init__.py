"""Lattice families: one cell form repeated a whole number of times round the ring, straight or displaced by scatter."""
