"""The ways to read a requirement: one part explained, every part at once, a database pre-filter."""
