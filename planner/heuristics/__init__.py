"""Quick ways to a plan that proves nothing: the hand's, frame by frame, jobs ahead together."""
