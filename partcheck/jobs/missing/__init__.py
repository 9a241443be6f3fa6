"""What to look up so that a board is proved, and in which order."""
