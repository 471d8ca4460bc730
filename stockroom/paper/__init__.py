"""What the shop prints: pages drawn from plain values, to scale, black and white first."""
