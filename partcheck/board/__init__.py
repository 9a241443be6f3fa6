"""The board file: models of what it states, and reading it with located errors."""

from partcheck.board.models import ROLE_KINDS, Board
from partcheck.board.read import BoardFile, parse_board, read_board
from partcheck.board.schema import board_schema

__all__ = ["ROLE_KINDS", "Board", "BoardFile", "board_schema", "parse_board", "read_board"]
