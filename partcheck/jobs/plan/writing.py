"""The planned board as a new file: the user's text with nothing but the changes made in it."""

import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

from partcheck.board import ROLE_KINDS, parse_board
from partcheck.board.models import Path
from partcheck.board.resistors import DERATING, power_key
from partcheck.board.writing import edited_board
from partcheck.errors import PartcheckError
from partcheck.inputs import folder_of
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.plan.options import Option, board_with
from partcheck.jobs.plan.plan import Planned
from partcheck.outputs import write_text
from partcheck.parts.packages import canonical
from partcheck.requirement import Verdict
from partcheck.units import show

DIGITS = 7


def write_plan(planned: Planned, path: FilePath) -> str:
    """Write the planned board and say so in a sentence; it is judged from its text before it is written."""
    text = planned_text(planned, path)
    setup = Setup(parse_board(text, path), planned.setup.parts, planned.setup.policy)
    places, links = judge_board(setup.situation)
    if any(judged.verdict < Verdict.TIGHT for judged in (*places, *links)):
        raise AssertionError("the planned board does not meet when it is read from its text")
    write_text(path, text)
    own = planned.setup.board_file.board.parts
    moved = own and _folder(path) != _folder(planned.setup.board_file.path)
    return f"{path} written" + ("; its parts are named relative to its own folder." if moved else ".")


def planned_text(planned: Planned, path: FilePath) -> str:
    """The text of the planned board, with the user's comments and order."""
    return text_with(planned.setup, [step.option for step in planned.steps], path)


def text_with(setup: Setup, options: Iterable[Option], path: FilePath) -> str:
    """The text of a board with each of the options taken, as it would stand in the file at ``path``."""
    data = setup.board_file.stated
    changes: list[tuple[Path, object]] = []
    for option in options:
        changes += [(("role", option.ref, key), value) for key, value in _keys(setup, data, option)]
    changes += places_of_parts(data, setup.board_file.path, path)
    return edited_board(setup.board_file.text, changes)


def _keys(setup: Setup, data: Mapping[str, Any], option: Option) -> Iterator[tuple[str, object]]:
    """The keys of a role that an option changes, as a board file states them."""
    stated = data["role"][option.ref]
    before = setup.board_file.board.role[option.ref]
    after = board_with(setup.board_file.board, option).role[option.ref]
    if option.part is not None:
        yield "fitted", _fitted(setup, option, stated.get("fitted"))
        words = option.pattern.split()
        if "package" in words and "footprint" in stated:
            yield "footprint", [canonical(option.part.word("package"))]
        if option.pattern and "pin_order" in stated and option.part.word("pin_order"):
            yield "pin_order", option.part.word("pin_order")
        if "pitch" in words and "pitch" in stated:
            yield "pitch", show(option.part.number("pitch"), "m", DIGITS)
    if option.moved:
        yield "across", getattr(after, "across", "load")
        yield "conducts", getattr(after, "conducts", "forward")
    if option.resistor is not None:
        tolerance = setup.board_file.board.replacement_resistor.tolerance
        yield option.resistor.key, f"{show(option.resistor.value, 'Ω', DIGITS)} ±{tolerance * 100:g} %"
        for key, unit in ((power_key(option.resistor.key), "W"), *((name, "°C") for name in DERATING)):
            value = getattr(after, key, None)
            if value is not None and value != getattr(before, key, None):
                yield key, show(value, unit, DIGITS)


def _fitted(setup: Setup, option: Option, stated: object) -> object:
    """The part as a board file names it; with its maker where the number alone would not do."""
    part = option.part
    assert part is not None
    kind = ROLE_KINDS[setup.board_file.board.role[option.ref].role]
    try:
        alone = setup.parts.find(kind, part.part_number)
    except PartcheckError:
        alone = None
    if alone is not None and alone.key == part.key and not isinstance(stated, Mapping):
        return part.part_number
    return {"part_number": part.part_number, "maker": part.maker}


def _folder(path: FilePath) -> str:
    return os.path.realpath(folder_of(path))


def places_of_parts(data: Mapping[str, Any], old: FilePath, new: FilePath) -> list[tuple[Path, object]]:
    """Files that the board names relative to itself, named from the folder of the new file."""
    if _folder(old) == _folder(new):
        return []

    def there(name: str) -> str:
        if os.path.isabs(name):
            return name
        try:
            return os.path.relpath(os.path.join(_folder(old), name), _folder(new)).replace(os.sep, "/")
        except ValueError:  # another drive
            return os.path.join(_folder(old), name)

    made: list[tuple[Path, object]] = []
    if data.get("parts"):
        made.append((("parts",), [there(name) for name in data["parts"]]))
    if str(data.get("policy", "")).endswith(".toml"):
        made.append((("policy",), there(data["policy"])))
    return made
