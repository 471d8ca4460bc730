"""One profile, aim by aim: what is tried in which order."""
