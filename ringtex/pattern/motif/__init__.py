"""Own motifs: drawings and grey pictures that become the repeat of a pattern."""
