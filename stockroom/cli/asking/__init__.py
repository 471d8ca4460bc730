"""Questions that stand in for a row of options, each with the option that answers it."""
