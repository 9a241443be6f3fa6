"""How much current flows through wire, track and pole."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from partcheck.board import Board
from partcheck.board.roles import Indicator, Pole
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, total
from partcheck.situation.many import highest
from partcheck.situation.sums import lasting, peak, sum_at_once

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


def load_heating(situation: "Situation", loads: Iterable[str]) -> Fact:
    """Largest current that warms what leads to these loads; a diode keeps a chopped one flowing in full."""
    items = [(name, name, lasting(situation, name)) for name in loads]
    return sum_at_once(situation, items)


def load_peak(situation: "Situation", loads: Iterable[str]) -> Fact:
    """Largest momentary current of these loads together."""
    return sum_at_once(situation, [(name, name, peak(situation, name)) for name in loads])


def rail_of(situation: "Situation", name: str) -> str | None:
    """The rail that feeds a load or an indicator; None for an indicator on a drive."""
    if name in situation.board.load:
        return situation.board.load[name].rail
    led = situation.board.role.get(name)
    return led.rail if isinstance(led, Indicator) else None


def rails_of(situation: "Situation", rail: str | None, loads: Iterable[str]) -> list[str]:
    """The rails whose current passes, each once."""
    found = [rail, *(rail_of(situation, name) for name in loads)]
    return list(dict.fromkeys(name for name in found if name is not None))


def rails_behind(board: Board, rail: str) -> list[str]:
    """The rail and those that feed it through regulators, the source first."""
    chain = [rail]
    while (ref := board.rail[chain[0]].regulator) is not None:
        chain.insert(0, board.role[ref].input)  # type: ignore[union-attr]
    return chain


def pole_label(pole: Pole) -> str:
    """How poles are written: ``poles 3, 4 (return V12)``."""
    numbers = ", ".join(map(str, pole.pole))
    what = " ".join([pole.rail] if pole.rail is not None and not pole.load else pole.load)
    return f"pole{'s' if len(pole.pole) > 1 else ''} {numbers} ({pole.side} {what})"


def fault(situation: "Situation", rail: str | None, loads: list[str]) -> Fact:
    """What a short on one of the rails drives through, with the loads of the other rails going on."""
    made = []
    for name in rails_of(situation, rail, loads):
        amperes = situation.board.rail[name].fault_current
        if amperes is None:
            continue
        short = Fact(amperes, f"rail.{name}.fault_current")
        others = [load for load in loads if rail_of(situation, load) != name]
        if others:
            short = total(
                [
                    (f"rail.{name}.fault_current", short),
                    ("loads of other rails", load_heating(situation, others)),
                ],
                "A",
            )
        made.append(short)
    return highest(made) if made else NOT_STATED
