"""The map of a load under the sliders: judged once, with the mark of the circuit moved over it as the fields change.

Of a load whose current follows from voltage and resistance a change of these two is another point of the same map
(:func:`partcheck.jobs.sweep.map.channel_map` scales the very same values). What else changes makes another map.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from partcheck.board.loads import Motor
from partcheck.jobs.change.board import wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.sweep.map import ChannelMap, channel_map
from partcheck.jobs.sweep.quantities import load_current, rail_voltage
from partcheck.report import document as d
from partcheck.report.answers import drawn
from partcheck.report.answers.limits import document as answer
from partcheck.report.document import Document
from partcheck.serve.answers import Told
from partcheck.serve.changes import asked_of
from partcheck.serve.warm import WarmBoard
from partcheck.situation.paths import rail_of

COLUMNS, ROWS = 64, 32
REACH = 3.0
"""How far a map goes, in what the board file states: as far as the sliders."""
PLACES = 8
"""Digits behind the point of what the script reads."""


def stands(setup: Setup, load: str) -> tuple[float, float] | None:
    """Typical voltage of the rail and largest current of a load; None where either cannot be varied."""
    situation = setup.situation
    rail = rail_of(situation, load)
    volts = rail_voltage(situation, rail) if rail is not None else None
    current = load_current(situation, load)
    return (volts.base, current.base) if volts is not None and current is not None else None


def moves_over(setup: Setup, load: str) -> tuple[str, ...]:
    """The fields that move the circuit over its map; any other makes another map."""
    stated = setup.board_file.board.load[load]
    if isinstance(stated, Motor) or stated.extra_current is not None:
        return ("voltage",)
    return ("voltage", "resistance") if stated.current is None else ("voltage",)


def field_told(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    """The map of a load with the changes made, as far as its sliders go."""
    load, asked = warm.setup.load(stated["load"]), asked_of(stated)
    setup = warm.setup if asked == Asked() else wanted(warm.setup, load, asked).after or warm.setup
    made = field_of(setup, load)

    def document(_: bool) -> Document:
        from partcheck.report.html.pictures import ratings

        whole = d.Finding(None, (d.line("Where ", d.Name(load), " may stand, by voltage and current."),))
        blocks = (whole, *drawn.blocks([ratings.drawn(made)]), *answer.first_outside(made))
        return Document("limits", (), (), blocks)

    return Told("map", document, lambda: "", marks=lambda: _marks(made))


def field_of(setup: Setup, load: str) -> ChannelMap:
    """The map of a load as far as its sliders go."""
    here = stands(setup, load)
    volts, amperes = here or (1.0, 1.0)  # where there is none the map itself says why
    across = np.linspace(volts / 4, max(min(REACH * volts, _most(setup, load)), volts), COLUMNS)
    top = REACH * amperes
    return channel_map(setup.situation, load, across, np.linspace(top / ROWS, top, ROWS))


def _most(setup: Setup, load: str) -> float:
    rail = rail_of(setup.situation, load)
    volts = rail_voltage(setup.situation, rail) if rail is not None else None
    return volts.high if volts is not None else 1.0


def _marks(made: ChannelMap) -> dict[str, str]:
    """Where the drawn field ends."""
    from partcheck.report.html.pictures import ratings

    return {"field": " ".join(f"{end:.{PLACES}g}" for end in ratings.ends(made))}
