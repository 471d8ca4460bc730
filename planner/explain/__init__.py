"""Why a frame is short, a stick opened; what a pin costs; how far the search has come."""
