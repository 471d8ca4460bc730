"""What leftovers are worth, alone, waiting, and by batch."""
