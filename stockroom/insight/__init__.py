"""What became of the moulding, and what the saw really takes."""
