"""Families whose cells grow from sites or from cracks instead of a lattice."""
