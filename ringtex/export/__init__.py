"""Files out: meshes read back and re-checked, pictures."""
