"""Accepted substitutions and what of them is stale."""
