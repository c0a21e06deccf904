"""Own grey pictures as relief: read, kept in the design, and laid on the strip."""
