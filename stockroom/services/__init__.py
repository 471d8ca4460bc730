"""What the shop does, as verbs of the bench; transactions open here and nowhere else."""
