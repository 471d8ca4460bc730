"""What a ticket and a picture show of shapes: the frame from its front, what is set on the saw."""
