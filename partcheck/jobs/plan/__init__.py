"""The smallest set of changes with which the whole board meets, or what stands in the way."""
