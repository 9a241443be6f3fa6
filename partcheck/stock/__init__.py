"""Many parts as columns: what the readings judge, without an object per part.

::

    columns.py     a text column as codes, a point table as flat columns with the place where each part's rows begin
    stock.py       the columns of one kind: of parts in memory, or of another source; some or a stretch of its parts
"""
