"""The command that describes the formats."""

from enum import StrEnum
from typing import Annotated

import typer

from partcheck.cli.app import Answer, app


class Format(StrEnum):
    """What can be described."""

    BOARD = "board"
    PARTS = "parts"
    ANSWERS = "answers"
    POLICY = "policy"


@app.command(short_help="Print or describe the formats of boards, parts and answers.")
def schema(
    of: Annotated[
        Format, typer.Argument(metavar="board|parts|answers|policy", help="Which format.", show_default=False)
    ],
    readable: Annotated[bool, typer.Option("--readable", help="A document to read instead of a JSON Schema.")] = False,
) -> Answer:
    """Print the JSON Schema of board files, parts files, JSON answers or policies, or describe them to a reader."""
    import json

    if readable:
        from partcheck.report.formats import DOCUMENTS

        return Answer(DOCUMENTS[of.value]().rstrip())
    if of is Format.BOARD:
        from partcheck.board import board_schema

        made = board_schema()
    elif of is Format.PARTS:
        from partcheck.parts.schema import parts_schema

        made = parts_schema()
    elif of is Format.POLICY:
        from partcheck.report.policy_format import policy_schema

        made = policy_schema()
    else:
        from partcheck.report.schema import answers_schema

        made = answers_schema()
    return Answer(json.dumps(made, ensure_ascii=False, indent=1))
