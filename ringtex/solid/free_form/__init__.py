"""The relief of own motifs: a triangulation of the whole strip in place of one mesh a cell."""
