"""News: what anybody changed is told to every open page."""
