"""partcheck in a notebook: open a board, then swap, explain, check; answers as objects or as tables.

>>> board = open_board("bottling-bench.toml", parts=["catalog_samples"])  # doctest: +SKIP
>>> board.swap("Q2").table()                                             # doctest: +SKIP
>>> print(board.explain("Q2", "MOBY-F60-70").text)                        # doctest: +SKIP

Importing this loads neither NumPy nor pandas nor SQLAlchemy; the calls load what they need.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partcheck.api.answers import (
    AcceptAnswer,
    BrightnessAnswer,
    BrightnessRankingAnswer,
    CheckAnswer,
    EvidenceAnswer,
    ExplainAnswer,
    LimitsAnswer,
    PlanAnswer,
    RecordsAnswer,
    SwapAnswer,
    VetAnswer,
)
from partcheck.jobs.check.board import check as _check
from partcheck.jobs.check.part import explain_part
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.parts import Part, read_parts
from partcheck.parts.search import Query
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.catalog import Catalog


def open_catalog(where: str | Path | None = None, create: bool = False) -> Catalog:
    """Open a catalog file or database; ``create`` makes one where there is none. Use it in a ``with`` block.

    ``catalog.search(Query("mosfet", where=["vds_max >= 60 V"]))`` looks for parts in it.
    """
    from partcheck.catalog import open_catalog as open_it

    return open_it(where, create)


class OpenBoard:
    """A board with the parts and the policy it is judged with."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        setup.lasting = True

    def swap(self, ref: str, most: int = 8) -> SwapAnswer:
        """The parts that can stand in at ``ref``, ranked."""
        from partcheck.jobs.swap.swap import swap

        return SwapAnswer(swap(self.setup, self.setup.reference(ref), most))

    def explain(self, ref: str, part: str | None = None) -> ExplainAnswer:
        """Every requirement of a part at ``ref``; without ``part``, of the one fitted there."""
        place = self.setup.reference(ref)
        chosen = self.setup.part(place, part) if part is not None else None
        return ExplainAnswer(explain_part(self.setup, place, chosen))

    def brightness(
        self, ref: str, part: str | None = None, target: str | None = None, ratio: float | None = None, most: int = 8
    ) -> BrightnessAnswer | BrightnessRankingAnswer:
        """The light of an LED at ``ref``, and its resistor for equal light; without ``part`` every known LED, ranked.

        ``target`` (such as "5 mcd") or ``ratio`` to the fitted LED ask for another light.
        """
        from partcheck.jobs.light.brightness import brightness
        from partcheck.jobs.light.ranking import rank_brightness
        from partcheck.jobs.light.wanted import read_wanted

        wanted, place = read_wanted(target, ratio), self.setup.reference(ref)
        if part is None:
            return BrightnessRankingAnswer(rank_brightness(self.setup, place, wanted, most))
        return BrightnessAnswer(brightness(self.setup, place, self.setup.part(place, part), wanted))

    def limits(self, load: str | None = None, grid: tuple[int, int] = (64, 18)) -> LimitsAnswer:
        """How far everything may go; with ``load`` its channel alone, and a map of ``grid`` columns and rows."""
        from partcheck.jobs.sweep.limits import limits
        from partcheck.jobs.sweep.map import map_of

        chosen = self.setup.load(load) if load is not None else None
        found = limits(self.setup, chosen)
        return LimitsAnswer(found, map_of(found, *grid) if chosen is not None else None)

    def accept(
        self,
        ref: str,
        part: str,
        *,
        note: str = "",
        by: str = "",
        resistor: str | float | None = None,
        although_it_fails: bool = False,
    ) -> AcceptAnswer:
        """Accept ``part`` at ``ref`` and write it down in the catalog; ``resistor`` as ``"6.8 kΩ"`` or in ohms."""
        from partcheck.jobs.decisions.accept import accept

        place = self.setup.reference(ref)
        decided = accept(
            self.setup,
            place,
            self.setup.part(place, part),
            resistor=resistor,
            by=by,
            note=note,
            although_it_fails=although_it_fails,
        )
        return AcceptAnswer(decided)

    def plan(self, load: str = "", **changes: Any) -> PlanAnswer:
        """The smallest plan; for a load with changes as the command takes them: ``plan("FV1", voltage="18 V")``."""
        from partcheck.jobs.change.options import Asked
        from partcheck.jobs.plan.plan import plan

        return PlanAnswer(plan(self.setup, self.setup.load(load) if load else "", Asked(**changes)))

    def check(self, cures: bool = True) -> CheckAnswer:
        """The board as fitted; without ``cures`` what would help is not looked for, which takes most of the time."""
        return CheckAnswer(_check(self.setup, cures))

    def vet(
        self, load: str, keys: Mapping[str, object] | None = None, *, cures: bool = True, **asked: Any
    ) -> VetAnswer:
        """A load with something changed: ``vet("FV2", voltage="24 V")``, ``vet("FV2", {"rail": "P24"})``.

        ``asked`` takes voltage, current, resistance, inductance, count, at_once, duty, frequency, cable_length and
        wire; ``keys`` any other key of the load, or from the top of the board file. Without ``cures`` the answer has
        the verdicts and what gives way first, and what would help is not looked for.
        """
        from partcheck.jobs.change.options import Asked
        from partcheck.jobs.vet.vet import vet

        sets = tuple(f"{key}={value}" for key, value in (keys or {}).items())
        return VetAnswer(vet(self.setup, self.setup.load(load), Asked(**asked, sets=sets), cures))


def open_board(
    path: str | Path,
    parts: Sequence[str | Path | Part] = (),
    catalog: str | Path | None = None,
    policy: str | None = None,
) -> OpenBoard:
    """Open a board file, as the commands do.

    ``parts`` are files, folders or :class:`Part` objects; ``catalog`` a file or database URL; ``policy`` a name or a
    TOML file. Raises :class:`partcheck.errors.PartcheckError` with a sentence for everything a user can correct.
    """
    files = [part for part in parts if not isinstance(part, Part)]
    given = [part for part in parts if isinstance(part, Part)]
    where = str(catalog) if catalog is not None else None
    return OpenBoard(open_setup(path, files, where, policy, given))


def records(
    board: str | Path | None = None, catalog: str | Path | None = None, only_stale: bool = False
) -> RecordsAnswer:
    """The accepted substitutions of a catalog, all or those of one board (its file or name)."""
    from partcheck.jobs.decisions.stale import records as look

    where = str(catalog) if catalog is not None else None
    return RecordsAnswer(look(where, str(board) if board is not None else None, None, only_stale))


def evidence(requirement: str = "") -> EvidenceAnswer:
    """What a requirement rests on: its id, a role, ``ROLE:ID``; left out, all of them."""
    from partcheck.jobs.evidence.evidence import evidence as find

    return EvidenceAnswer(find(requirement))


__all__ = [
    "AcceptAnswer",
    "BrightnessAnswer",
    "BrightnessRankingAnswer",
    "CheckAnswer",
    "EvidenceAnswer",
    "ExplainAnswer",
    "LimitsAnswer",
    "OpenBoard",
    "Part",
    "PlanAnswer",
    "Query",
    "RecordsAnswer",
    "SwapAnswer",
    "Verdict",
    "VetAnswer",
    "evidence",
    "open_board",
    "open_catalog",
    "read_parts",
    "records",
]
