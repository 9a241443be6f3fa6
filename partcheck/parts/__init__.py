"""Parts and how they are read from files; nothing here knows a database.

::

    part.py        Part, Provenance, point_table: what the rest of partcheck works on
    packages.py    package names and pin orders that mean the same
    problems.py    Problem, BadCell, BadPart: what is wrong, where, and what to write instead
    cells.py       one raw cell, read as its declaration asks
    commas.py      decimal commas, and the numbers that they put in doubt; prices.py: currencies
    checks.py      build(): a Part from raw cells, or every problem at once
    files.py       the text of a file
    grid.py        the cells of a sheet as they stand, and the guard against formulas
    workbook.py    the grids of an XLSX workbook; package.py: what its values alone do not tell
    mapping.py     what a user says about sheets and headers of their own; typed_map.py: said at the command line
    kind_of.py     which kind of part a sheet holds by its headers, where its name does not tell
    unclear.py     what to say of a header that may mean several things
    no_header.py   which row reads like the header where none names part number and maker
    headers.py     which column a header means; two_rows.py: one of two rows;
                   unit_row.py: units below
    beside.py      conditions in a column beside their value
    whole_sheet.py constants of a sheet, and what its words mean
    part_numbers.py  several part numbers in one cell
    sheet.py       one sheet: header, units, rows
    names.py       what a sheet holds, by its name
    drafts.py      parts while sheets are read, and the rows that belong to each
    sheets.py      sheets that belong together, as parts
    streaming.py   a sheet read some rows at a time; columnar.py: these rows, a column at a time
    layout.py      parts as rows of sheets, and empty sheets; writing.py: sheets as files
    rejects.py     the rows that were not taken, as a file to correct
    entry.py       a part while it is entered, cell by cell
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
