"""What fronts say to whoever reads them, a file for each kind of thing that is said."""
