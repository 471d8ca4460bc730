"""A profile's problem in numbers: what a solver works on, and the way there and back."""
