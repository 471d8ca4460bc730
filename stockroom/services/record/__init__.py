"""The record itself: history, undo, backup, export."""
