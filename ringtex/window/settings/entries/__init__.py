"""Entries and rows that sections show on demand: zones, panels, stones, plain places, letters, hollow, cells."""
