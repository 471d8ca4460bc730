"""At the saw: what was really cut, its labels, what the saw takes."""
