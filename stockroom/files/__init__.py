"""Files that come in and files that are made."""
