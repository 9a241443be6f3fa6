"""Numbers printed by others, recalculated with :mod:`partcheck.physics`.

Each check names the document it is from and says how well the number was seen: read in the document,
seen in a search excerpt, in a notebook that transcribes a textbook, or from memory. "ours" marks what
the document does not print: an input or a result that we worked out. Numbers that a formula does
**not** give are kept as tests of what must not be assumed.
"""
