"""What is cut from the ring or joined to it: hollow, stones, plain places, letters, pierced cells."""
