"""The stockroom: a picture framer's rack, jobs, cuts and orders."""

__version__ = "0.1.0"
