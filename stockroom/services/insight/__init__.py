"""What the record teaches: worth, dead offcuts, numbers, replay."""
