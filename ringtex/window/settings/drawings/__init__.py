"""Drawings of the settings that are taken hold of: section, profile, curves round the ring."""
