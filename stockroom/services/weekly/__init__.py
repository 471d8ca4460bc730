"""The week: what to order and why, and orders as they come."""
