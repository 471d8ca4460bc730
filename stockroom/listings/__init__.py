"""What is listed on paper, for every front."""
