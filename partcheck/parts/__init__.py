"""Parts and how they are read from files; nothing here knows a database.

::

    part.py        Part, Provenance, point_table: what the rest of partcheck works on
    packages.py    package names and pin orders that mean the same
    problems.py    Problem, BadCell, BadPart: what is wrong, where, and what to write instead
    cells.py       one raw cell, read as its declaration asks
    checks.py      build(): a Part from raw cells, or every problem at once
    files.py       the text of a file
    sheet.py       one CSV file: header, units, rows
    sheets.py      CSV files that belong together, as parts
    documents.py   JSON, and parts inline in a board file
    schema.py      the JSON Schema of that JSON
    search.py      what a search asks, read from a text
    review/        doubts about what a part states
    read.py        read_parts(): a file or a folder

All columns, units and plausible ranges come from :mod:`partcheck.parameters`.
"""

from partcheck.parts.part import Part, Provenance, point_table
from partcheck.parts.read import read_parts

__all__ = ["Part", "Provenance", "point_table", "read_parts"]
