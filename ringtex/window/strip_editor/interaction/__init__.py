"""Turns mouse, wheel and keys into changes of the strip editor's state and of the document."""
