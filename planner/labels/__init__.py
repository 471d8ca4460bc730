"""All choices of columns that lose little, gone through as labels: dynamic programming."""
