"""How far everything may go."""
