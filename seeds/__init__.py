"""Starter catalogue of invented makers, as CSV files beside this module."""
