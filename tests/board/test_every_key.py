"""Every key of the board format: at the ends of its range it is refused, or counted; it never switches a demand off.

The keys come from the models, so a new one is tried by itself; the example of the format document has to state it.
"""

import math
import os
from typing import Any

import pytest

from partcheck.board.fields import K0
from partcheck.board.models import Board
from partcheck.errors import BoardError
from partcheck.jobs.judge.setup import Setup
from partcheck.requirement import Verdict
from tests.draws import LONG, some
from tests.every_key import Key, Outcome, Outcomes, Way, board_with, declared, opened, outcomes, stated, written

NOT_STATED = {"Board.part": "parts given in the file are read as a parts document, with its own checks"}
SAYS_NONE = {
    "Rail.accepts": "a range from 0 V asks for no least supply",
    "Indicator.brightness": "a window from 0 cd asks for no least brightness",
    "Indicator.viewing_angle": "a window from 0 degrees asks for no least angle",
    "Indicator.reverse_voltage": "says that no reverse voltage reaches the LED",
    "Regulator.back_feed": "says that the output never stands above the input",
}
"""Keys of which one end says in plain words that nothing is wanted at that end."""

SETUP: Setup = opened()
KEYS = [
    key
    for key in stated(SETUP.board_file.board)
    if key.measure is not None or (isinstance(key.value, int) and not isinstance(key.value, bool))
]
if os.environ.get("PARTCHECK_KEYS") != "all":  # each key once, wherever a board may state it
    KEYS = list({key.label: key for key in reversed(KEYS)}.values())


@pytest.fixture(scope="module")
def before() -> dict[bool, Outcomes]:
    """The board as it stands, with the air inside settled and as cool as outside."""
    return {settled: outcomes(SETUP, SETUP.board_file.board, settled) for settled in (False, True)}


def beyond(key: Key) -> list[object]:
    """Values that no board can mean: just outside the range, negative, next to nothing."""
    measure = key.measure
    if measure is None:
        return [0, -1, 10**9]
    low, high, unit = measure.low, measure.high, measure.unit
    under = [low - 0.01 * abs(low) - 1e-12, low - 1.0]
    over = [1.01 * high, 1e12]
    if low > 0 and unit != "°C":
        under += [0.0, 1e-300]
    if not LONG:  # the nearest on either side, and the one furthest down
        under, over = list(dict.fromkeys((under[0], under[-1]))), over[:1]
    if not measure.spread:
        return [written(value, unit) for value in (*under, *over)]
    ends = [(value, high) for value in under] + [(low, value) for value in over]
    return [{"min": written(least, unit), "max": written(most, unit)} for least, most in ends]


def extreme(key: Key) -> list[object]:
    """Values at the ends of the range, and exactly nothing."""
    measure = key.measure
    if measure is None:
        return [1, 2, 40, 1000]
    low, high, unit = measure.low, measure.high, measure.unit
    nothing = [K0 if unit == "°C" else 0.0]
    if not measure.spread:
        return [written(value, unit) for value in (low, high, *nothing)]
    near = low + 1e-3 * (high - low) if low <= 0 else 1.1 * low
    ends = some([(low, low), (low, high), (low, near), (nothing[0], nothing[0]), (0.9 * high, high), (high, high)], 3)
    return [{"min": written(least, unit), "max": written(most, unit)} for least, most in ends]


def refusals(slip: BoardError) -> list[str]:
    """Each sentence of a refusal."""
    return list(slip.details) or [str(slip)]


def read(key: Key, value: object) -> tuple[Board | None, list[str]]:
    """The board with another value of a key, or the sentences of its refusal."""
    try:
        return board_with([(key.path, value)]), []
    except BoardError as slip:
        return None, refusals(slip)


def names(sentence: str, path: Way) -> bool:
    """True where a sentence names the key, or the entry in which it stands."""
    words = [str(step) for step in path if not isinstance(step, int)]
    return words[-1] in sentence or words[1] in sentence


def test_the_board_states_every_key_of_the_format() -> None:
    """A key that is new to the format goes into ``partcheck/formats/board.example.toml``."""
    found = {key.label for key in stated(SETUP.board_file.board)}
    assert set(declared()) - found == set(NOT_STATED)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: ".".join(map(str, key.path)))
def test_beyond_its_range_a_key_is_refused_with_one_sentence(key: Key) -> None:
    for value in beyond(key):
        with pytest.raises(BoardError) as slip:
            board_with([(key.path, value)])
        told = refusals(slip.value)
        assert len(told) == 1 and key.name in told[0], (value, told)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: ".".join(map(str, key.path)))
def test_at_the_ends_of_its_range_no_key_switches_a_demand_off(key: Key, before: Any) -> None:
    """Read, it asks all that was asked, with no demand of nothing and no capability without end.

    What is asked does not rest on how hot the air inside is; an ordinary run settles that only where a key is about it.
    """
    settled = LONG or key.owner == "Surroundings"
    for value in extreme(key):
        board, told = read(key, value)
        assert all(names(sentence, key.path) for sentence in told), (value, told)
        if board is None:
            continue
        after = outcomes(SETUP, board, settled)
        if key.label not in SAYS_NONE:
            off = switched_off(before[settled], after)
            assert not off, (value, off)


def switched_off(before: Outcomes, after: Outcomes) -> list[Any]:
    """Requirements that are no longer asked, or that now demand nothing or hold without end, though they pass."""
    found: list[Any] = [where for where in before if where not in after]
    for where, now in after.items():
        then = before.get(where)
        if then is not None and now.verdict > Verdict.UNPROVEN and _nothing(now) > _nothing(then):
            found.append((where, now))
    return found


def _nothing(outcome: Outcome) -> int:
    """How many of its pairs pass because nothing is demanded, or because nothing bounds what is offered."""
    return sum((demand == 0 and offered >= 0) or offered == math.inf for demand, offered in outcome.pairs)
