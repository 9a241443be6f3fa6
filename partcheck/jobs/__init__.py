"""The use cases: swap, explain, check; each readable as its own story."""
