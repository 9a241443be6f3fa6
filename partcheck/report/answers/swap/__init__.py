"""Which known parts can stand in at a place."""
