"""Entering parts: drafts, forms, sheets, doubts about what was taken in, and what a value is for."""
