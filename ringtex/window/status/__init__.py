"""The readings bar, findings and notices."""
