"""What stands on a board: each place, its part, its values, and how many of each."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from partcheck.board import Board, BoardFile
from partcheck.board.roles import Indicator, Terminal

TITLES = {
    "mosfet-switch": "MOSFET",
    "npn-sink": "NPN",
    "indicator": "LED",
    "clamp": "clamp",
    "regulator": "regulator",
    "terminal": "terminal",
}
BESIDE = {
    "gate_resistor": "gate resistor",
    "pulldown": "pull-down resistor",
    "base_resistor": "base resistor",
    "base_emitter_resistor": "base-emitter resistor",
    "resistor": "LED resistor",
    "output_capacitor": "output capacitor",
    "upper_resistor": "upper resistor",
    "lower_resistor": "lower resistor",
}
"""Parts that have no place of their own in a board file: they are listed by the place beside which they stand."""


@dataclass(frozen=True)
class Item:
    """So many of one thing: ``references`` are the places they fill, or beside which they stand."""

    references: tuple[str, ...]
    role: str
    part: str
    maker: str
    value: str
    quantity: int


def items(board_file: BoardFile) -> list[Item]:
    """Everything a board is fitted with, alike things together, in the order of the file."""
    made: dict[tuple[str, str, str, str], list[tuple[str, int]]] = {}
    for ref, role, part, maker, value, quantity in _each(board_file):
        made.setdefault((role, part, maker, value), []).append((ref, quantity))
    order = {title: i for i, title in enumerate((*TITLES.values(), *BESIDE.values()))}
    found = [
        Item(tuple(ref for ref, _ in who), role, part, maker, value, sum(count for _, count in who))
        for (role, part, maker, value), who in made.items()
    ]
    return sorted(found, key=lambda item: order[item.role])


def _each(board_file: BoardFile) -> Iterator[tuple[str, str, str, str, str, int]]:
    for ref, place in board_file.board.role.items():
        stated = board_file.stated["role"][ref]
        fitted = place.fitted
        number, maker = (fitted.part_number, fitted.maker) if fitted is not None else ("", "")
        count = place.in_series if isinstance(place, Indicator) else 1
        yield ref, TITLES[place.role], number, maker, _value(board_file.board, ref), count
        for key, title in BESIDE.items():
            if getattr(place, key, None) is not None:
                yield ref, title, "", "", written(stated[key]), 1


def _value(board: Board, ref: str) -> str:
    """What tells a place from others with the same part: package, poles."""
    place = board.role[ref]
    words = list(place.footprint)
    if isinstance(place, Terminal):
        poles = [number for pole in place.poles for number in pole.pole]
        words.append(f"{max(poles)} poles")
    return ", ".join(words)


def written(value: Any) -> str:
    """A value as the file states it, in one text."""
    if isinstance(value, dict):
        return " ".join(f"{name} {written(inner)}" for name, inner in value.items())
    return ", ".join(map(written, value)) if isinstance(value, list) else str(value)
