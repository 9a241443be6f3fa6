"""What would help where something does not meet: a circuit value that cures, a datasheet value to look up."""
