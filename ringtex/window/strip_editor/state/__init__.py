"""What the strip editor shows: the ring, the part that is seen, handles, what is under the pointer."""
