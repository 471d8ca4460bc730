"""The planner: which pieces to cut for today's frames, proven best. Values in, values out."""
