"""At the counter: jobs taken in, changed, listed; their tickets."""
