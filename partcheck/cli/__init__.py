"""The commands. Each is a plain function that imports what it needs when it runs, so that help is quick.

::

    jobs.py      swap, explain, check
    catalog.py   catalog list, show, upgrade
    entering.py  catalog add, edit, copy; form/ asks the questions
    finding.py   catalog find, history, undo, retire
    review.py    catalog review
    importing.py catalog import
    sheets.py    catalog template, export
    formats.py   schema
    demo.py      demo
    records.py   accept, records
"""

from partcheck.cli.app import Answer, app

__all__ = ["Answer", "app"]
