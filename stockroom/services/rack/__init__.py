"""The rack: pieces received, found, moved, counted."""
