"""What fronts say."""
