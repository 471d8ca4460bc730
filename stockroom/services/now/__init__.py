"""What matters in the shop at this moment."""
