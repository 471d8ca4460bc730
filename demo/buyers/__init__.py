"""A year of buying: who orders how much, what nobody can go below, how odds come out."""
