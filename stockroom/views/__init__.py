"""A plan, a piece and a ticket as plain values for screen, page and paper."""
