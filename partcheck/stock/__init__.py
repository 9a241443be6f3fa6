"""Many parts as columns: what the readings judge, without an object per part.

::

    columns.py     a text column as codes, a point table as flat columns with the place where each part's rows begin
    stock.py       the columns of one kind: of parts in memory, or of another source; some or a stretch of its parts
    laid.py        the columns of a source that is no list of objects, as plain arrays by name
    known.py       several stocks as one, and the first of them by some keys
"""
