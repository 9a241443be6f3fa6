"""The board file: models of what it states, and reading it with located errors.

::

    read.py          a file to a checked Board, each slip with its key and line; locate.py: the lines
    models.py        the board as a whole
    surroundings.py  loads.py  roles.py
                     what it states of the air and the rails, of loads, of places
    fields.py        kinds of value; measured.py: a resistance as it was measured
    relations.py     what values must obey beside each other
    index.py         who stands where, looked up
    resistors.py     a new resistor in the place of a stated one
    short.py         ranges and ``like`` written out; names.py and ranges.py: names in a row
    compose.py       a board's data as such a short text
    edit.py          values changed in a text, every other byte kept; spans.py: where each value stands
    writing.py       the same in a text that says things once
    schema.py        the JSON Schema
"""

from partcheck.board.models import ROLE_KINDS, Board
from partcheck.board.read import BoardFile, parse_board, read_board
from partcheck.board.schema import board_schema

__all__ = ["ROLE_KINDS", "Board", "BoardFile", "board_schema", "parse_board", "read_board"]
