"""What a user asks to change, as values in the board file; the board as changed; boards half-way between two."""
