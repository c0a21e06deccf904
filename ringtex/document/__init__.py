"""The design being worked on, without Qt."""
