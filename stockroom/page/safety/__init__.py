"""Who is let in, from where, and how much they may send."""
