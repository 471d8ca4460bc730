"""How a profile is asked for, and what to buy for it."""
