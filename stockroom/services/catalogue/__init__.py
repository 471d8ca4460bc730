"""The catalogue: profiles and suppliers, loaded, changed, saved."""
