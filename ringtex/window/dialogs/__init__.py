"""Dialogs: export, workshop sheet, size run, comparison, proposals."""
