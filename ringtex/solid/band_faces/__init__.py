"""The plain faces of the ring: rails, sides, bore."""
