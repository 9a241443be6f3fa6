"""The board as fitted."""
