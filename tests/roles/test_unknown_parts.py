"""A part that nobody has entered is unproven: it never fails for what is not known of it, and never passes for it."""

import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import board_only
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.sweep.run import run
from partcheck.policy import BENCH
from partcheck.readings.explain import explain
from partcheck.readings.uses import read_by
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from tests.command import BOARD, SAMPLES
from tests.draws import some
from tests.roles.test_every_requirement import EACH, MODULES, facts_of, prepared


@pytest.mark.parametrize(("name", "id_"), EACH, ids=" ".join)
def test_a_requirement_that_reads_the_part_is_unproven_of_an_unknown_one(name: str, id_: str) -> None:
    """In the surroundings of its own examples, as they stand and with the board's value that just fails."""
    role, part, example, facts = prepared(name, id_)
    if part is None or id_ not in {each for ids in read_by(role).values() for each in ids}:
        pytest.skip("reads nothing of a part")
    policy = getattr(MODULES[name], "POLICY", BENCH)
    failing = {example.vary[5:]: example.fails} if str(example.vary).startswith("fact:") else {}
    for change in ({}, failing):
        found = {f.id: f for f in explain(role, None, facts_of(role, facts, policy, change), 0.0)}
        assert found[id_].verdict is Verdict.UNPROVEN


def outcome(situation: Situation) -> dict[tuple[str, str], Verdict]:
    """The verdict of every requirement that counts."""
    places, links = judge_board(situation)
    return {(judged.ref, f.id): f.verdict for judged in (*places, *links) for f in judged.findings if f.counts}


def unknown_at(base: Situation, ref: str) -> Situation:
    """The same board with a part at ``ref`` that nobody has entered."""
    return settle(Situation(base.board, {**base.fitted, ref: None}, base.policy))


@pytest.fixture(scope="module")
def sample() -> Situation:
    return open_setup(BOARD, [SAMPLES]).situation


def test_each_place_of_the_sample_board_with_an_unknown_part(sample: Situation) -> None:
    """The place is unproven; nothing else of the board fails for it, gets better or goes unasked; swept alike."""
    before, roles = outcome(sample), sample.board.role
    last_of_each = {role.role: ref for ref, role in roles.items()}.values()
    tried = dict.fromkeys([*last_of_each, *some(list(roles), 10)])
    for ref in tried:
        situation = unknown_at(sample, ref)
        after, decided = outcome(situation), board_only(situation, ref)
        own = {id_: verdict for (place, id_), verdict in after.items() if place == ref}
        assert min(own.values()) is Verdict.UNPROVEN, ref
        assert {id_ for id_, verdict in own.items() if verdict is not Verdict.UNPROVEN} <= decided
        for where, verdict in after.items():
            assert verdict is Verdict.UNPROVEN or verdict == before[where], (ref, where, verdict)
        gone = before.keys() - after.keys()
        assert all(place == ref and id_ == "pin-order" for place, id_ in gone), (ref, gone)
        swept = run(situation, [])
        assert {w: Verdict(int(swept.verdicts[i, 0])) for w, i in swept.row.items() if w in after} == after


def test_what_fails_for_the_board_alone_still_fails(sample: Situation) -> None:
    """The land pattern, a drive that cannot, a wire that is too thin: no unknown part hides them."""
    board = sample.board
    thin = board.load["FV1"].model_copy(update={"cable": board.load["FV1"].cable.model_copy(update={"rating": 0.01})})
    changed = board.model_copy(update={"load": {**board.load, "FV1": thin}})
    base = settle(Situation(changed, sample.fitted, sample.policy))
    failing = {where for where, verdict in outcome(base).items() if verdict is Verdict.FAILS}
    assert any(place == "cable FV1" for place, _ in failing)
    for ref in ("D2", "Q2", "J3", "U1"):
        after = outcome(unknown_at(base, ref))
        assert failing <= {where for where, verdict in after.items() if verdict is Verdict.FAILS}, ref


def test_a_coil_that_nothing_clamps_is_unproven_of_an_unknown_switch_and_fails_of_one_without_the_rating() -> None:
    role, part, _, facts = prepared("mosfet-switch", "avalanche-energy")
    assert part is not None and role is ROLES["mosfet-switch"]
    bare = type(part)(part.kind, part.part_number, part.maker, {"vds_max": 60.0})
    made = facts_of(role, facts, BENCH, {})
    ids = ("avalanche-current",)
    assert all(f.verdict is Verdict.UNPROVEN for f in explain(role, None, made, 0.0) if f.id in ids)
    assert all(f.verdict is Verdict.FAILS for f in explain(role, bare, made, 0.0) if f.id in ids)
