"""The format document shows every table whole, cut from one file that reads, and what counts where a key is left out."""

import tomllib

import pytest

from partcheck.board import read_board
from partcheck.board.schema import entry_schema
from partcheck.report.format_examples import EXAMPLE, default, example
from partcheck.report.formats import TABLES, board_document

NAMES = [name for name, _, _ in TABLES]


def innermost(data: object) -> dict[str, object]:
    """The table that an example states, out of the tables around it."""
    while isinstance(data, list) or (
        isinstance(data, dict) and len(data) == 1 and isinstance(next(iter(data.values())), dict | list)
    ):
        data = data[0] if isinstance(data, list) else next(iter(data.values()))
    assert isinstance(data, dict)
    return data


def test_the_example_reads() -> None:
    assert read_board(EXAMPLE).board.role


@pytest.mark.parametrize("name", NAMES)
def test_every_table_is_shown_whole(name: str) -> None:
    shown = example(name)
    assert shown in board_document()
    schema = entry_schema()
    model = {"Board": schema, **schema["$defs"]}[name]
    stated = innermost(tomllib.loads(shown))
    needed = set(model.get("required", [])) - ({"surroundings", "rail", "role"} if name == "Board" else set())
    assert stated and needed <= set(stated) <= set(model["properties"]) | {"part"}, name


@pytest.mark.parametrize(("name", "key", "said"), [
    ("Cable", "path", "`round-trip`"), ("ReplacementResistor", "full_power_to", "`70 °C`"), ("Load", "count", "`1`"),
    ("Surroundings", "wet", "`false`"), ("Rail", "current", ""), ("ReplacementResistor", "tolerance", "`0.01`"),
])  # fmt: skip
def test_defaults_are_those_of_the_models(name: str, key: str, said: str) -> None:
    assert default(name, key) == said
