"""Tests of the invented workshop."""
