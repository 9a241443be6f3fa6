"""The use cases: swap, explain, check, importing; each readable as its own story."""
