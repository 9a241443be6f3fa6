"""One part in one place in full."""
