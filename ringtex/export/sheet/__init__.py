"""The workshop sheet: drawings in millimetres, PDF and HTML."""
