"""The morning: what is due, what to cut it from, the sheet."""
