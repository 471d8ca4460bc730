"""Pages are read back: their words, and the geometry of what is drawn on them."""
