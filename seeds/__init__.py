"""Starter catalogue of invented makers, as CSV files beside this module."""

from pathlib import Path

__all__ = ["csv_path"]


def csv_path(name: str) -> Path:
    """The path of one of the catalogue's files: suppliers or profiles."""
    return Path(__file__).parent / f"{name}.csv"
