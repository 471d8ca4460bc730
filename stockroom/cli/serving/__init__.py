"""Serving the shop as pages, from the command line."""
