"""The pages, and the records of the same answers for programs; each module has a ``router``.

::

    lists.py      the boards of the folder
    boards.py     one board: its paths of current, its places with their verdicts
    whatif.py     what if something were different about a load; saving a board as changed
    places.py     one place with its stand-ins; one part there in full
    long_work.py  plan, rating sheet, brightness, all boards: what takes longer
    records.py    accepted substitutions, and accepting one
    catalog.py    the catalog: search, doubtful values, undo
    parts.py      one part: what is stated, open, doubtful; its history
    entering.py   a part in one form: add, edit, copy; two tabs on one part
    importing.py  a sheet of parts: brought, looked at, mapped, entered
    new_board.py  a new board by questions or from an example
"""
