"""Everything a terminal shows, drawn from plain values."""
