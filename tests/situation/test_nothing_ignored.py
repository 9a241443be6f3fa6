"""Nothing that a board or a datasheet states is ignored: each value changes some number, or is listed here with its reason."""

from collections.abc import Iterator
from contextlib import suppress
from typing import Any, NamedTuple

import pytest

from partcheck.board.models import Board
from partcheck.board.surroundings import BoardEntry
from partcheck.errors import BoardError
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.parameters import KINDS
from partcheck.policy import BENCH
from partcheck.readings import uses
from partcheck.requirement import views
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.units import Span
from tests import draws
from tests.every_key import Key, board_with, one_by_one, opened, outcomes, owner_of, stated, written

SETUP = opened()
KEYS = list(stated(SETUP.board_file.board))
NUMBERS: dict[str, list[Key]] = {}
WORDS: dict[str, list[Key]] = {}
for _key in KEYS:
    _number = _key.measure is not None or (isinstance(_key.value, int) and not isinstance(_key.value, bool))
    (NUMBERS if _number else WORDS).setdefault(_key.label, []).append(_key)

FOR_PEOPLE = {
    "Board.format": "the version of the format, checked when the file is read",
    "Board.name": "a name",
    "Board.revision": "a name",
    "Board.parts": "where parts are read from",
    "Board.policy": "chosen before anything is judged",
    "Place.note": "a remark",
    "Load.alternating": "true is refused when the file is read",
    "Rail.alternating": "true is refused when the file is read",
    "Board.series": "new resistor values, for cures and plans",
    "Board.replacement_resistor": "new resistors, for cures and plans",
    "ReplacementResistor.tolerance": "new resistors, for cures and plans",
    "ReplacementResistor.power": "new resistors, for cures and plans",
    "ReplacementResistor.full_power_to": "new resistors, for cures and plans",
    "ReplacementResistor.no_power_at": "new resistors, for cures and plans",
    "Chopped.group": "says what is in phase; all chopped loads are taken in phase, which is the worst",
}
"""Keys that no verdict rests on, each with its reason."""
NOT_YET: dict[str, str] = {
    "Motor.resistance": "a clamp's decay and energy read it, but nothing that is asked of this board turns on it",
}
"""Keys of the board of which no change has been seen to change a verdict's numbers; this list only shrinks."""


def others(key: Key) -> Iterator[object]:
    """More and less of a number, as a file states it."""
    measure = key.measure
    if measure is None:
        yield from (key.value + 1, key.value - 1)
        return
    for factor, more in ((1.5, 30.0), (0.4, -60.0), (1.04, 2.0), (0.96, -2.0)):
        moved = [v + more if measure.unit == "°C" else v * factor for v in _ends(key.value)]
        texts = [written(v, measure.unit) for v in moved]
        yield {"min": texts[0], "typ": texts[1], "max": texts[2]} if len(texts) == 3 else texts[0]


def _ends(value: Any) -> list[float]:
    return list(value) if isinstance(value, Span) else [value]


class Before(NamedTuple):
    """What the board asks as it stands: settled, and place by place before the air inside is told."""

    settled: str
    places: dict[str, str]


def _unsettled(board: Board) -> Situation:
    return Situation(board, SETUP.fitted, SETUP.policy)


@pytest.fixture(scope="module")
def before() -> Before:
    board = SETUP.board_file.board
    places = {ref: repr(told) for ref, told in one_by_one(_unsettled(board), ())}
    return Before(repr(outcomes(SETUP, board)), places)


def _changed(label: str) -> Iterator[tuple[Key, Board]]:
    """The boards with another value of the key, wherever they state it: all that are read with one value, then with the next."""
    each = [(key, list(others(key))) for key in NUMBERS[label]]
    for i in range(max(len(values) for _, values in each)):
        for key, values in each:
            with suppress(BoardError):
                yield key, board_with([(key.path, values[i])])


def _moves(label: str, before: Before) -> bool:
    """The first place that differs is enough; only where none does, the boards are settled and judged whole."""
    for key, board in _changed(label):
        if any(repr(told) != before.places.get(ref) for ref, told in one_by_one(_unsettled(board), key.path)):
            return True
    if label in NOT_YET and not draws.LONG:
        return False
    return any(repr(outcomes(SETUP, board)) != before.settled for _, board in _changed(label))


@pytest.mark.parametrize("label", sorted(set(NUMBERS) - set(FOR_PEOPLE)))
def test_a_number_of_the_board_changes_some_demand_or_capability(label: str, before: Before) -> None:
    moves = _moves(label, before)
    assert moves is not (label in NOT_YET), (
        f"{label} is read now: take it off the list" if moves else f"{label} is ignored"
    )


def test_every_word_of_the_board_is_read_where_it_is_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    """References, choices and yes-or-no: what is judged looks at each of them."""
    read: set[str] = set()
    plain = BoardEntry.__getattribute__

    def recorded(entry: BoardEntry, name: str) -> Any:
        if name in type(entry).model_fields:
            read.add(f"{owner_of(type(entry), name)}.{name}")
        return plain(entry, name)

    fitted, board = SETUP.fitted, SETUP.board_file.board
    with monkeypatch.context() as patched:
        patched.setattr(BoardEntry, "__getattribute__", recorded)
        situation = settle(Situation(board, fitted, SETUP.policy))
        places, _ = judge_board(situation)
        list(cautions(situation, places))
    part = {"Place.fitted", "FittedPart.part_number", "FittedPart.maker"}  # chosen before anything is judged
    part |= {label for label in WORDS if label.endswith((".sort", ".role"))}  # says which table it is
    assert set(WORDS) - read - set(FOR_PEOPLE) - part == {label for label in NOT_YET if label in WORDS}


# ---- datasheets

BOOKKEEPING = {"part_number", "maker", "description", "status", "price", "currency", "quantity", "datasheet", "notes"}
UNREAD: dict[str, dict[str, str]] = {
    "mosfet": {
        "crss_max": "turn-on by a rising drain is not judged yet",
        "crss_typ": "turn-on by a rising drain is not judged yet",
        "ciss_max": "edges go by charges, which a datasheet states at the real voltages",
        "ciss_typ": "edges go by charges, which a datasheet states at the real voltages",
        "coss_typ": "a typical value",
        "qg_typ": "a typical value",
        "qgd_typ": "a typical value",
        "qgs_typ": "a typical value",
        "eas_start": "a single pulse is brought to the hot junction from 25 °C, the worse end",
    },
    "bjt": {
        "vcbo": "read as the voltage up to which an unclamped collector may rise, for clearances",
    },
    "led": {
        "colour": "told beside the light, never judged: the wavelength is",
        "dominant_wavelength_typ": "a typical value",
        "vf_tempco_max": "the steepest slope is the worse, hot and cold: the least, as slopes are negative",
        "vf_tempco_typ": "a typical value",
    },
    "diode": {
        "ifsm": "a single fault; what a circuit does every day is held against the repetitive ratings",
        "trr_typ": "a typical value",
        "vbr_typ": "a typical value",
    },
    "regulator": {
        "iq_typ": "a typical value",
        "topology": "only linear regulators can be entered",
        "theta_jc": "checked when it is entered; a sink is not part of a board here",
    },
    "terminal": {
        "torque": "for whoever tightens the screws",
        "package": "the pitch and the poles decide what fits",
        "pin_order": "poles are numbered by the board",
    },
}
"""Values of a datasheet that no requirement and no told number reads, each with its reason; this list only shrinks."""


def read_of(kind: str) -> set[str]:
    """What the requirements and quantities of every role read of a part of this kind."""
    found: set[str] = set()
    for role in ROLES.values():
        if role.kind == kind:
            found |= set(uses.read_by(role))
            p, _ = views(role, uses._part_reader(kind, None), uses._fact_reader(BENCH, frozenset()))
            for name in role.quantities:
                found |= getattr(getattr(p, name), "names", frozenset())
    return found


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_value_of_a_datasheet_is_read(kind: str) -> None:
    declared = {*KINDS[kind].columns(), *(table.name for table in KINDS[kind].tables)} - BOOKKEEPING
    unread = declared - read_of(kind)
    assert unread == set(UNREAD.get(kind, {}))
