"""A frame's arithmetic: sizes, mitres, joining, hanging, weights, its ticket."""
