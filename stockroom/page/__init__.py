"""The page: the shop on a tablet, a screen at the counter, a phone at the rack; see its README."""
