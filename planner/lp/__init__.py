"""Linear programs, and what their prices prove in whole numbers."""
