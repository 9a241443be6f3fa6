"""A load before and after a change."""
