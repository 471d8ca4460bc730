"""Branch and bound over listed columns."""
