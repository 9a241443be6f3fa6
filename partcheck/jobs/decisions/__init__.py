"""Accepted substitutions: written down with what they rest on, and whether they still stand."""
