"""One circuit quantity varied over the whole board: values tried at once, boundaries, limits, the map of a channel."""
