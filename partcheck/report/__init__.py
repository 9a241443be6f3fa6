"""From what a job found to text, JSON, CSV, Markdown and HTML pages; nothing here prints.

::

    lines.py      wrapping, columns and numbers on a screen of 80 columns
    swapped.py    the answer to a swap, as text
    explained.py  one part in full, as text
    checked.py    the board as fitted, as text
    imported.py   what an import did or would do, as text
    vetted.py     a load before and after a change, as text
    records.py    all of them as JSON records; schema.py describes those
    html/         pages and their pictures; markdown.py and markdown_whole.py for a design log
    pictures.py   the pictures of the README
    ranking.py    the ranking as CSV
    accepted.py   accepted substitutions as text; accepted_sheet.py as CSV
"""
