"""Cellular families: Voronoi cells and power diagrams, relaxed, equal in area where asked, edited by hand."""
