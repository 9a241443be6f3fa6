"""A load with something different about it, judged in a moment: the verdicts and the path before and after.

What gives way first, other clamps and cures take longer and are asked for by themselves (``long.py``, work ``vet``).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from partcheck.board import BoardFile
from partcheck.jobs.change.board import Wanted, wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.vet.vet import PathStep, steps_of
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers.heads import whole_board
from partcheck.report.answers.vet.document import asked as told_changes
from partcheck.report.answers.vet.document import path_table
from partcheck.requirement import Verdict
from partcheck.serve.changes import LoadChanges
from partcheck.serve.field import stands
from partcheck.serve.judging import places_of
from partcheck.serve.warm import WarmBoard
from partcheck.units import ZERO_CELSIUS, Span, show

SHOWN = 12
"""So many places are shown beyond those that changed their verdict."""
FIELDS = (
    ("voltage", "Voltage of its rail", "V"),
    ("current", "Current", "A"),
    ("resistance", "Resistance", "Ω"),
    ("inductance", "Inductance", "H"),
    ("duty", "Duty", ""),
    ("ambient", "Air around the board", "°C"),
)
"""The fields that have a slider: name, words, unit."""


@dataclass(frozen=True)
class TriedLoad:
    """A load with something different about it."""

    want: Wanted
    after: Setup
    before: tuple[Judged, ...]
    judged: tuple[Judged, ...]
    steps: tuple[PathStep, ...]


def tried(warm: WarmBoard, changes: LoadChanges) -> TriedLoad:
    """The board with the changes, judged."""
    load = warm.setup.load(changes.load)
    want = wanted(warm.setup, load, changes.asked) if changes.asked != Asked() else Wanted(load, (), ())
    after, before = want.after or warm.setup, places_of(warm)
    places, links = judge_board(after.situation) if want.changes else ((), ())
    steps = steps_of(warm.setup.situation, after.situation, load)
    return TriedLoad(want, after, before, (*places, *links) or before, tuple(steps))


def changed_file(warm: WarmBoard, changes: LoadChanges) -> BoardFile:
    """The file of the board with the changes written into its text."""
    if not changes.load or changes.asked == Asked():
        return warm.setup.board_file
    return (wanted(warm.setup, warm.setup.load(changes.load), changes.asked).after or warm.setup).board_file


def told_at_once(warm: WarmBoard, changes: LoadChanges) -> tuple[tuple[d.Block, ...], tuple[float, float] | None]:
    """What is told at once, and where on its map the load stands; kept without the boards, which are large."""

    def make() -> tuple[tuple[d.Block, ...], tuple[float, float] | None]:
        found = tried(warm, changes)
        return at_once(found), stands(found.after, found.want.load)

    return warm.once(("at once", changes.key), make)


def at_once(found: TriedLoad) -> tuple[d.Block, ...]:
    """What is told at once: the verdict of the whole board, the path, and the places that stand worst or changed."""
    return d.present(
        whole_board(found.judged, None),
        *told_changes(found.want.changes, found.want.notes),
        d.section("The path of its current, worst case", path_table(found.steps, bool(found.want.changes))),
        d.section("Places and links, worst first", common.place_table("Worst, and changed", _shown(found))),
    )


def _shown(found: TriedLoad) -> Sequence[Judged]:
    was = {judged.ref: judged.verdict for judged in found.before}
    worst = common.worst_first(found.judged)
    return [j for i, j in enumerate(worst) if i < SHOWN or j.verdict < Verdict.TIGHT or j.verdict != was.get(j.ref)]


@dataclass(frozen=True)
class Slider:
    """A field of the page: what the file states now, and how far its slider goes; without an end there is none."""

    name: str
    words: str
    unit: str
    now: str
    typical: float | None = None
    low: float | None = None
    high: float | None = None
    before: str = ""
    """What stands before the number that the slider moves, where the field states a range."""


def sliders(setup: Setup, load: str) -> list[Slider]:
    """The fields of a load that can be moved; those that the board states nothing of are left out."""
    board, stated = setup.board_file.board, setup.board_file.stated
    loads = board.load[load]
    rail, here = board.rail[loads.rail], stated["load"][load]
    chopped = here.get("chopped", {})
    values = {
        "voltage": (rail.voltage, stated["rail"][loads.rail].get("voltage")),
        "current": (loads.current, here.get("current")),
        "resistance": (getattr(loads, "resistance", None), here.get("resistance")),
        "inductance": (getattr(loads, "inductance", None), here.get("inductance")),
        "duty": (loads.chopped.duty if loads.chopped is not None else None, chopped.get("duty")),
    }
    made = []
    for name, words, unit in FIELDS[:-1]:
        span, text = values[name]
        if isinstance(span, Span) and span.typ > 0:
            high = 1.0 if name == "duty" else 120.0 if name == "voltage" and span.typ > 40 else span.typ * 3
            made.append(Slider(name, words, unit, str(text or show(span.typ, unit)), span.typ, span.typ / 4, high))
        elif name == "current":
            made.append(Slider(name, words, unit, "set by its resistance"))
    return [*made, _air(setup)]


def _air(setup: Setup) -> Slider:
    air = setup.board_file.board.surroundings.ambient
    least, most = air.min - ZERO_CELSIUS, air.max - ZERO_CELSIUS
    text = f"{least:g}..{most:g} °C"
    return Slider("ambient", FIELDS[-1][1], "°C", text, most, max(least, 0.0), 125.0, f"{least:g}..")
