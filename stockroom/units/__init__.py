"""What is typed and printed: lengths, money, names; whole numbers inside."""
