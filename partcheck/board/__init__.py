"""The board file: models of what it states, and reading it with located errors."""

from partcheck.board.models import ROLE_KINDS, Board
from partcheck.board.read import BoardFile, board_schema, parse_board, read_board

__all__ = ["ROLE_KINDS", "Board", "BoardFile", "board_schema", "parse_board", "read_board"]
