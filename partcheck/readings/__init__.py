"""The ways to read a requirement: one part explained, or every part at once."""
