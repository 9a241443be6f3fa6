"""Values that contradict their neighbours are refused with one sentence at their line; the nearest that agree are read."""

from typing import Any

import pytest

from partcheck.errors import BoardError
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.sweep.quantities import adjustables
from tests.every_key import FILE, board_with, way

CASES: list[tuple[str, Any, Any, str]] = [
    ("surroundings.copper", "44 °C", "45 °C", "cooler than the hottest ambient"),
    ("replacement_resistor.full_power_to", "155 °C", "154 °C", "is not below"),
    ("rail.V12.protection_drop", "11.4..11.5 V", "1..2 V", "leaves nothing"),
    ("rail.V12.feed.inductance", "20 nH ±30 %", "50 nH ±30 %", "than any 1 m of cable has"),
    ("load.fan.cable.inductance", "50 nH ±30 %", "0.1 µH ±30 %", "than any 2 m of cable has"),
    ("drive.coil.high", "0.15..5 V", "0.3..5 V", "is not above the largest low level"),
    ("load.valve.allowed_drop", "12.6 V", "12.5 V", "limits nothing"),
    ("load.input.low_level", "25.2 V", "25 V", "limits nothing"),
    ("load.valve.release_level", "150 mA", "130 mA", "would never hold"),
    ("load.spare.release_level", "100 mA", "99 mA", "would never hold"),
    ("load.heater.off_leakage", "13 mA", "11 mA", "as much as it draws"),
    ("load.input.off_leakage", "3 mA", "2.9 mA", "as much as it draws"),
    ("load.spare.current", "0.3..0.4 A", "0.2..0.4 A", "disagrees with the resistance"),
    ("load.spare.current", "0.05..0.1 A", "0.05..0.15 A", "disagrees with the resistance"),
    ("load.fan.stall_current", "0.29 A", None, "below the running current"),
    ("load.fan.stall_current", "0.6 A", "0.8 A", "disagrees with the resistance"),
    ("load.display.rate", "900 /s", "800 /s", "less than the time in which it charges"),
    ("load.fan.edge_least", "5.1 µs", "5 µs", "nothing meets both"),
    ("load.fan.edge_limit", "260 µs", "240 µs", "longer than a whole period"),
    ("role.D11.resistor_full_power_to", "155 °C", "150 °C", "is not below"),
    ("role.Q3.resistor_full_power_to", "155 °C", "150 °C", "is not below"),
    ("role.D11.dark_current", "1 mA", "0.9 mA", "both dark and lit"),
    ("role.D14.switch_voltage", "12.6 V", "12.5 V", "leaves nothing"),
    ("role.J1.spacing", "5.08 mm", "5 mm", "leaves no metal"),
]


@pytest.mark.parametrize(("key", "wrong", "right", "words"), CASES, ids=[f"{c[0]}={c[1]}" for c in CASES])
def test_a_contradiction_is_refused_and_what_agrees_is_read(key: str, wrong: Any, right: Any, words: str) -> None:
    line = key.rpartition(".")[2]
    with pytest.raises(BoardError) as slip:
        board_with([(way(key), wrong)])
    told = [sentence for sentence in (slip.value.details or [str(slip.value)]) if words in sentence]
    assert len(told) == 1
    assert told[0].startswith(f"{FILE}:") and f": {key}: " in told[0] and line in told[0]
    if right is not None:
        board_with([(way(key), right)])


def test_a_drive_is_not_higher_than_the_supply_of_its_chip() -> None:
    """A rail from outside decides it; a few per cent are rounding."""
    supplied = [(way("chip.U2.supply"), "V12"), (way("drive.npn.high"), "4.8..12.6 V")]
    board_with(supplied)
    with pytest.raises(BoardError, match=r"drive\.npn\.high: 13\.5 V is more than the supply of its chip U2 can be"):
        board_with([*supplied[:1], (way("drive.npn.high"), "4.8..13.5 V")])


def test_one_drive_chops_all_its_loads_alike() -> None:
    """The same switch, another switch on the same drive, an indicator on the output itself."""
    first = (way("load.valve.chopped"), {"frequency": "1 kHz", "duty": "0.2..0.5"})
    alike = (way("load.spare.chopped"), {"frequency": "1 kHz", "duty": "0.4..0.6"})
    board_with([first, alike])
    for other in ({"frequency": "2 kHz", "duty": "0.2..0.5"}, {"frequency": "1 kHz", "duty": "0.6..0.7"}):
        with pytest.raises(BoardError, match=r"load\.spare\.chopped: the drive coil chops valve as well"):
            board_with([first, (way("load.spare.chopped"), other)])
        with pytest.raises(BoardError, match=r"role\.D11\.chopped: the drive coil chops valve as well"):
            board_with([first, (way("role.D11.chopped"), other)])


def test_what_is_tried_for_a_cure_or_a_limit_may_stand_in_a_board_file() -> None:
    """Both ends of every quantity, written as a person would write them, are read."""
    setup = open_setup(FILE)
    board = setup.board_file.board
    for quantity in adjustables(setup.situation):
        ends = sorted(quantity.choices) or [quantity.low, quantity.high]
        for end in (ends[0], ends[-1]):
            board_with([(way(key), text) for key, text in quantity.setting(board, end)])
