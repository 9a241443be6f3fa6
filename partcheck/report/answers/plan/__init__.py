"""What to change so that the whole board meets."""
