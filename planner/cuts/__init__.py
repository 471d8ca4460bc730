"""Rows rounded down that every whole solution keeps: cutting planes."""
