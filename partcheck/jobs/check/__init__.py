"""The board as fitted, and one part in one place in full."""
