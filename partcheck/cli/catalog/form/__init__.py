"""The form in which a part is entered: questions and answers line by line, for a terminal, a pipe or a screen reader.

::

    screen.py      saying and asking
    wording.py     what a question says, and what ? explains
    rows.py        the rows of a table: added, changed, taken out
    dialog.py      asking for values, tables and sources; every answer is kept at once
    ending.py      what is missing, what is doubtful, the review, saving
"""

from partcheck.cli.catalog.form.dialog import Dialog
from partcheck.cli.catalog.form.screen import Leave

__all__ = ["Dialog", "Leave"]
