"""What is not judged is told where a board has what it concerns, and nowhere else; the guide lists it all."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from partcheck.board.models import Board
from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.judge.unjudged import TOPICS, Topic, along, around, not_judged
from partcheck.requirement import Verdict
from partcheck.roles import LINK_ROLES, ROLES
from tests.boards import situation_of, written
from tests.command import BOARD, SAMPLES

GUIDE = Path(__file__).parents[2] / "catalog_samples" / "GUIDE.md"

DRIVE = {"high": "4.8..5.2 V", "low": "0..0.1 V", "source_resistance": "20..60 Ω"}
RAIL = {"voltage": "12 V ±5 %"}
MOSFET = {"role": "mosfet-switch", "drive": "OUT", "load": "heater"}
NPN = {"role": "npn-sink", "drive": "OUT", "load": "heater", "base_resistor": "1 kΩ ±5 %"}
HEATER = {"sort": "resistive", "rail": "V12", "resistance": "100 Ω ±5 %"}
LED = {"role": "indicator", "rail": "V12", "resistor": "1 kΩ ±5 %"}
REGULATOR = {"role": "regulator", "input": "V12", "output": "V5"}
TERMINAL = {"role": "terminal", "poles": [{"pole": 1, "side": "supply", "rail": "V12"}]}


def board(**tables: Mapping[str, Any]) -> Board:
    """A board of a 12 V rail with some tables."""
    rails = {"V12": RAIL, **tables.pop("rail", {})}
    stated = {"format": 1, "name": "small", "surroundings": {"ambient": "0..40 °C"}, "rail": rails, **tables}
    return Board.model_validate(stated)


def switched(drive: Mapping[str, Any] = DRIVE, load: Mapping[str, Any] = HEATER, **role: Any) -> Board:
    """A heater, or another load, on one switch."""
    return board(drive={"OUT": drive}, load={"heater": load}, role={"Q1": MOSFET | role})


def sinking(drive: Mapping[str, Any] = DRIVE, **role: Any) -> Board:
    """A heater on an NPN sink."""
    return board(drive={"OUT": drive}, load={"heater": HEATER}, role={"Q1": NPN | role})


def regulated(**role: Any) -> Board:
    """A regulator and the rail that it makes."""
    return board(rail={"V5": {"regulator": "U1"}}, role={"U1": REGULATOR | role})


def two(drive: str) -> Board:
    """Two switches, the second on a drive of its own or on the first one's."""
    roles = {"Q1": MOSFET, "Q2": MOSFET | {"load": "other", "drive": drive}}
    return board(drive={"OUT": DRIVE, "TWO": DRIVE}, load={"heater": HEATER, "other": HEATER}, role=roles)


def rail(**keys: Any) -> Board:
    """A board of one rail, with a lamp."""
    return board(rail={"V12": RAIL | keys}, role={"D1": LED})


LAMP = board(role={"D1": LED})
MOTOR = {"sort": "motor", "rail": "V12", "current": "0.2..0.4 A", "stall_current": "2 A"}
FILAMENT = {"sort": "lamp", "rail": "V12", "current": "0.1..0.2 A", "inrush_factor": 10, "inrush_time": "40 ms"}
ELECTRONIC = {"sort": "resistive", "rail": "V12", "current": "0.2..0.4 A"}
CAPACITIVE = {"sort": "capacitive", "rail": "V12", "current": "0.2..0.4 A"}
PULLDOWN, BASE_EMITTER = "100 kΩ ±5 %", "10 kΩ ±5 %"

COIL = {"sort": "coil", "rail": "V12", "inductance": "60 mH ±20 %"}

CASES: dict[str, list[tuple[Board, list[str]]]] = {
    "measured piece": [
        (switched(load=COIL | {"measured": "48.2 Ω at 23 °C"}), ["heater"]),
        (switched(load=COIL | {"resistance": "48 Ω ±8 %"}), []),
    ],
    "shorted load": [
        (switched(), ["Q1"]),
        (LAMP, []),
        (board(rail={"V12": RAIL | {"fuse_i2t": "5 A²s"}}, drive={"OUT": DRIVE}, load={"heater": HEATER},
               role={"Q1": MOSFET}), []),
        (board(rail={"V12": RAIL | {"fuse_i2t": "5 A²s"}}, drive={"OUT": DRIVE}, load={"heater": HEATER},
               role={"Q1": NPN}), ["Q1"]),
    ],
    "fuse and starts": [
        (board(rail={"V12": RAIL | {"fault_current": "1 A"}}, load={"heater": MOTOR}, role={"D1": LED}), ["V12"]),
        (board(rail={"V12": RAIL | {"fault_current": "2 A"}}, load={"heater": MOTOR}, role={"D1": LED}), []),
        (board(rail={"V12": RAIL | {"fault_current": "1 A"}}, load={"heater": FILAMENT}, role={"D1": LED}), ["V12"]),
        (board(load={"heater": MOTOR}, role={"D1": LED}), []),
    ],
    "plug-in turn-on": [
        (switched(), ["Q1"]),
        (sinking(), []),
        (board(rail={"V12": RAIL | {"rise_time": "5 ms"}}, drive={"OUT": DRIVE}, load={"heater": HEATER},
               role={"Q1": MOSFET}), []),
    ],
    "reset while on": [
        (switched(), ["Q1"]),
        (sinking(), []),
        (board(drive={"OUT": DRIVE | {"floats": False}}, load={"heater": HEATER}, role={"Q1": MOSFET}), []),
        (board(drive={"OUT": DRIVE}, load={"heater": HEATER}, role={"Q1": MOSFET | {"pulldown": "10 kΩ ±5 %"}}), []),
        (board(drive={"OUT": DRIVE}, load={"heater": HEATER}, role={"Q1": MOSFET | {"pulldown": "100 kΩ ±5 %"}}), ["Q1"]),
    ],
    "hot plug, load dump": [(LAMP, ["V12"]), (rail(transient="20 V"), []), (regulated(), ["V12"])],
    "current in a transient": [
        (board(rail={"V12": RAIL | {"transient": "20 V"}}, drive={"OUT": DRIVE}, load={"heater": HEATER},
               role={"Q1": MOSFET}), ["Q1"]),
        (switched(), []),
    ],
    "static discharge": [(board(role={"J1": TERMINAL}), ["J1"]), (switched(), ["heater"]), (LAMP, [])],
    "reversed supply": [
        (switched(), ["V12"]),
        (regulated(), ["V12"]),
        (LAMP, []),
        (board(rail={"V12": RAIL | {"protection_drop": "0.3..0.6 V"}, "V5": {"regulator": "U1"}},
               role={"U1": REGULATOR}), []),
    ],
    "regulator fed backwards": [(regulated(), ["U1"]), (regulated(back_feed="1 V"), []), (LAMP, [])],
    "motor as generator": [(switched(load=MOTOR), ["heater"]), (switched(), [])],
    "capacitive load": [(switched(load=ELECTRONIC), ["heater"]), (switched(), []), (switched(load=CAPACITIVE), [])],
    "charged capacitor": [(switched(load=CAPACITIVE), ["heater"]), (switched(load=ELECTRONIC), [])],
    "small resistors": [
        (sinking(), ["Q1"]),
        (sinking(base_resistor_power="0.1 W"), []),
        (sinking(base_resistor_power="0.1 W", base_emitter_resistor=BASE_EMITTER), ["Q1"]),
        (sinking(base_resistor_power="0.1 W", base_emitter_resistor=BASE_EMITTER, base_emitter_power="0.1 W"), []),
        (switched(pulldown=PULLDOWN), ["Q1"]),
        (switched(pulldown=PULLDOWN, pulldown_power="0.1 W"), []),
        (switched(), []),
    ],
    "protection diode": [(rail(protection_drop="0.3..0.6 V"), ["V12"]), (LAMP, [])],
    "capacitors": [
        (rail(capacitance="100 µF ±20 %"), ["V12"]),
        (regulated(output_capacitor="10 µF ±20 %"), ["U1"]),
        (regulated(), []),
    ],
    "LED ageing and cold": [(LAMP, ["D1"]), (switched(), [])],
    "parallel MOSFETs": [(two("OUT"), ["Q1", "Q2"]), (two("TWO"), [])],
    "altitude": [(switched(), ["Q1"]), (regulated(), ["U1"]), (LAMP, [])],
}  # fmt: skip


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.title)
def test_a_topic_is_told_where_the_board_has_what_it_concerns(topic: Topic) -> None:
    cases = CASES[topic.title]
    assert any(names for _, names in cases) and not all(names for _, names in cases)
    for made, names in cases:
        assert sorted(set(topic.concerns(made))) == names
        told = [item for item in not_judged(made) if topic.question[1:] in item]
        assert told == ([f"{', '.join(names)}: {topic.question[0].lower()}{topic.question[1:]}"] if names else [])


def test_every_topic_has_its_cases_and_is_one_line() -> None:
    assert set(CASES) == {topic.title for topic in TOPICS}
    for topic in TOPICS:
        assert len(topic.question) <= 100 and "\n" not in topic.question and topic.why


def test_many_names_are_counted() -> None:
    told = not_judged(open_setup(BOARD, [SAMPLES]).board_file.board)
    assert len(told) == len(set(told)) and all(len(item) <= 130 for item in told)
    assert told[0].startswith("Q1, Q2 and 7 more: ")


def test_of_a_place_only_what_concerns_it_is_told() -> None:
    sample = open_setup(BOARD, [SAMPLES]).board_file.board
    assert {item.partition(":")[0] for item in not_judged(sample, around(sample, "Q2"))} == {"Q2"}
    assert {item.partition(":")[0] for item in not_judged(sample, around(sample, "Q4"))} == {"Q4", "pump"}
    assert len(not_judged(sample, around(sample, "D11"))) == 1
    assert any("back_feed" in item for item in not_judged(sample, around(sample, "U1")))
    assert any("J2" in item.partition(":")[0] for item in not_judged(sample, along(sample, "FV2")))


def test_what_is_asked_of_a_topic_is_a_requirement() -> None:
    known = {rule for role in (*ROLES.values(), *LINK_ROLES.values()) for rule in role.requirements}
    for topic in TOPICS:
        assert set(re.findall("`([a-z]+-[a-z-]+)`", topic.asked)) <= known


def test_the_guide_lists_every_topic() -> None:
    guide = GUIDE.read_text(encoding="utf-8")
    for topic in TOPICS:
        assert f"| {topic.title}: {topic.question} | {topic.asked} | {topic.why} |\n" in guide


# ---- a drive that does not say whether it floats


@pytest.mark.parametrize(("ref", "drive", "rule"), [("Q4", "PUMP", "gate-hold"), ("Q6", "READY", "undriven-base")])
def test_a_drive_may_float_unless_it_is_stated(ref: str, drive: str, rule: str) -> None:
    """As if it were stated; where it is stated never to float, nothing is asked."""
    start = open_setup(BOARD, [SAMPLES]).situation

    def judged(floats: bool | None, **keys: Any) -> list[Any]:
        values = {f"role.{ref}.{key}": value for key, value in keys.items()} | {f"drive.{drive}.floats": floats}
        made = judge_place(situation_of(start, written(values)), ref)
        return [(f.verdict, f.headroom) for f in made.findings if f.id == rule]

    key = "pulldown" if rule == "gate-hold" else "base_emitter_resistor"
    assert judged(None) == judged(True) and judged(True)[0][0] >= Verdict.TIGHT
    assert judged(False) == []
    assert judged(None, **{key: "99 MΩ ±0.1 %"})[0][0] < Verdict.TIGHT, "one that does not hold it is no help"
    bare = judged(None, **{key: None})[0][0]
    assert bare is Verdict.UNPROVEN, "nothing stated and none fitted: it may be driven always, so it does not fail"
    assert judged(True, **{key: None})[0][0] < Verdict.TIGHT
    assert judged(False, **{key: None}) == []
