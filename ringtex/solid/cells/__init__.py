"""The relief of every cell as triangles: offset loops along the walls, then the fill inside the last loop."""
