"""Quick ways to a plan that proves nothing: by hand, jobs ahead together, pieces filled anew."""
