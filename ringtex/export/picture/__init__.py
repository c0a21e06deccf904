"""Pictures of the ring, rendered on the processor."""
