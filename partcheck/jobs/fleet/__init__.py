"""Many boards: which of them does a change of a part touch, and what would do instead."""
