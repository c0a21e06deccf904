"""Checks of the shape alone: the mesh, the seam, folds, sizes and distortion of cells, fairness."""
