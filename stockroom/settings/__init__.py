"""The shop's ways: its settings, its machines, its label sheets."""
