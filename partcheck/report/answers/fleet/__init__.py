"""Many boards: which of them a change touches, and what would do instead."""
