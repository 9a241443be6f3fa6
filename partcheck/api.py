"""partcheck in a notebook: open a board, then swap, explain, check; answers as objects or as tables.

>>> board = open_board("bottling-bench.toml", parts=["catalog_samples"])  # doctest: +SKIP
>>> board.swap("Q2").table()                                             # doctest: +SKIP
>>> print(board.explain("Q2", "HX-60N10").text)                           # doctest: +SKIP

Importing this loads neither NumPy nor pandas nor SQLAlchemy; the calls load what they need.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partcheck.errors import UsageError
from partcheck.jobs.check.board import Checked
from partcheck.jobs.check.board import check as _check
from partcheck.jobs.check.part import Explained, explain_part
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.parts import Part, read_parts
from partcheck.parts.search import Query
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    import pandas as pd

    from partcheck.catalog import Catalog
    from partcheck.jobs.decisions.accept import Decided
    from partcheck.jobs.decisions.stale import Records
    from partcheck.jobs.light.brightness import Brightened
    from partcheck.jobs.light.ranking import BrightnessRanking
    from partcheck.jobs.plan.plan import Planned
    from partcheck.jobs.swap.swap import Swapped
    from partcheck.jobs.sweep.limits import Limited
    from partcheck.jobs.sweep.map import ChannelMap
    from partcheck.jobs.vet.vet import Vetted
    from partcheck.report.document import Document


def open_catalog(where: str | Path | None = None, create: bool = False) -> Catalog:
    """Open a catalog file or database; ``create`` makes one where there is none. Use it in a ``with`` block.

    ``catalog.search(Query("mosfet", where=["vds_max >= 60 V"]))`` looks for parts in it.
    """
    from partcheck.catalog import open_catalog as open_it

    return open_it(where, create)


def _requirements(places: Sequence[Judged]) -> list[dict[str, Any]]:
    return [
        {
            "place": judged.ref,
            "part_number": judged.part.part_number if judged.part is not None else None,
            "requirement": finding.id,
            "verdict": finding.verdict.word,
            "demand": finding.compared[0].demand,
            "capability": finding.compared[0].capability,
            "unit": finding.requirement.unit,
            "headroom": finding.headroom,
            "missing": "; ".join(finding.story.missing),
            "assumed": "; ".join(finding.story.assumed),
        }
        for judged in places
        for finding in judged.findings
    ]


class Answer:
    """What every answer offers: itself as a record; ``found`` holds all that was found."""

    found: Any
    _answer: str
    """The question that it answers: a folder of ``report/answers``."""
    _record = "record"
    """Function of its ``record.py`` that makes the record."""

    def _given(self) -> tuple[Any, ...]:
        return (self.found,)

    def record(self) -> dict[str, Any]:
        """As the JSON answer, in plain objects."""
        module = import_module(f"partcheck.report.answers.{self._answer}.record")
        made: dict[str, Any] = getattr(module, self._record)(*self._given()).model_dump(mode="json")
        return made


class Documented(Answer):
    """An answer that is described once, and rendered as text, Markdown and a page."""

    _make = "document"
    """Function of its ``document.py`` that makes the document."""

    def _document(self, pictures: bool = False) -> Document:
        module = import_module(f"partcheck.report.answers.{self._answer}.document")
        if self._make != "document":  # what was decided has no pictures
            made: Document = getattr(module, self._make)(self.found)
        else:
            made = module.document(self.found, pictures, **self._more())
        return made

    def _more(self) -> dict[str, Any]:
        """What belongs to the answer besides what was found."""
        return {}

    @property
    def text(self) -> str:
        """As the command prints it, 80 columns wide."""
        from partcheck.report.render import text

        return text.render(self._document())

    def page(self) -> str:
        """As one self-contained HTML page."""
        from partcheck.report.render import html

        return html.render(self._document(pictures=True))

    def markdown(self) -> str:
        """As Markdown."""
        from partcheck.report.render import markdown

        return markdown.render(self._document())


class CheckAnswer(Documented):
    """A board as fitted. ``places`` and ``links`` hold every finding."""

    _answer = "check"

    def __init__(self, found: Checked) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.places, self.links = found.places, found.links

    def table(self) -> pd.DataFrame:
        """One row per requirement of every place and link; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements([*self.places, *self.links]))


class ExplainAnswer(Documented):
    """One part in one place."""

    _answer = "explain"

    def __init__(self, found: Explained) -> None:
        self.found = found
        self.verdict: Verdict = found.judged.verdict
        self.place = found.judged

    def table(self) -> pd.DataFrame:
        """One row per requirement; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements([self.place]))


class SwapAnswer(Documented):
    """The stand-ins for a place, best first."""

    _answer = "swap"

    def __init__(self, found: Swapped) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.candidates = found.candidates
        self.why_first, self.why_not = found.why_first, found.why_not

    def table(self) -> pd.DataFrame:
        """The ranking, one row per stand-in."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "part_number": made.part.part_number,
                    "maker": made.part.maker,
                    "verdict": made.verdict.word,
                    "headroom": made.judged.headroom,
                    "set_by": made.judged.tightest.id if made.judged.tightest is not None else None,
                    "changes": "; ".join(made.changes),
                    "price": made.part.number("price"),
                    "quantity": made.part.number("quantity"),
                }
                for made in self.candidates
            ]
        )


class BrightnessAnswer(Documented):
    """An LED beside the fitted one, and the resistor for equal or wanted light."""

    _answer = "brightness"

    def __init__(self, found: Brightened) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.circuits, self.recommended = found.choices, found.best

    def table(self) -> pd.DataFrame:
        """The circuits side by side, one column each: fitted, as drawn, and each preferred resistor; SI, kelvin."""
        import pandas as pd

        made = {"as drawn": self.found.drawn.point} | {f"{c.resistance:g} Ω": c.point for c in self.circuits}
        if self.found.before is not None:
            made = {"fitted": self.found.before} | made
        return pd.DataFrame({name: dict(point.values) for name, point in made.items()})


class BrightnessRankingAnswer(Documented):
    """Every known LED for a place, each with the resistor for equal or wanted light, best first."""

    _answer = "leds"

    def __init__(self, found: BrightnessRanking) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.ranked, self.others = found.ranked, found.others

    def table(self) -> pd.DataFrame:
        """The CSV answer as a table: those ranked first, then the others."""
        import io

        import pandas as pd

        from partcheck.report.answers.leds import sheet as leds_sheet

        return pd.read_csv(io.StringIO(leds_sheet.text(self.found)))


class LimitsAnswer(Documented):
    """The rating sheet of a board, or of one channel with its map."""

    _answer = "limits"

    def __init__(self, found: Limited, made: ChannelMap | None) -> None:
        self.found, self.map = found, made
        self.verdict: Verdict = found.verdict
        self.channels, self.air, self.at_once = found.channels, found.air, found.at_once

    def table(self) -> pd.DataFrame:
        """One row per limit; SI numbers, temperatures in °C."""
        import io

        import pandas as pd

        from partcheck.report.answers.limits import sheet as limits_sheet

        return pd.read_csv(io.StringIO(limits_sheet.sheet(self.found)))

    def _given(self) -> tuple[Any, ...]:
        return self.found, self.map

    def _more(self) -> dict[str, Any]:
        return {"map_": self.map}


class AcceptAnswer(Documented):
    """A substitution that was accepted and written down."""

    _answer, _make, _record = "decisions", "accepted", "accepted"

    def __init__(self, found: Decided) -> None:
        self.found = found
        self.verdict: Verdict = found.candidate.verdict
        self.number = found.row.number


class RecordsAnswer(Documented):
    """Accepted substitutions, newest first, and whether each still stands."""

    _answer, _make, _record = "decisions", "listed", "recorded"

    def __init__(self, found: Records) -> None:
        self.found = found
        self.standings = found.standings

    def table(self) -> pd.DataFrame:
        """One row per accepted substitution, as the CSV has it but with every text as it was given."""
        import pandas as pd

        from partcheck.report.answers.decisions.sheet import HEADER, cells

        return pd.DataFrame([cells(standing) for standing in self.standings], columns=list(HEADER))


class VetAnswer(Documented):
    """A load with what was changed about it, on the whole board; ``gives_way`` lists what fails, first to go first."""

    _answer = "vet"

    def __init__(self, found: Vetted) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.steps, self.figures, self.gives_way = found.steps, found.figures, found.gives_way

    def table(self) -> pd.DataFrame:
        """One row per requirement of every place and link as changed; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements(self.found.after))


class PlanAnswer(Documented):
    """The smallest set of changes with which a board meets, or what stands in the way."""

    _answer = "plan"

    def __init__(self, found: Planned) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.outcome: str = found.outcome.value
        self.steps = found.steps

    def write(self, path: str | Path, force: bool = False) -> str:
        """Write the planned board as a new file; the sentence that says so."""
        from partcheck.jobs.plan.writing import write_plan
        from partcheck.outputs import objection

        if said := objection(Path(path), force, [self.found.setup.board_file.path]):
            raise UsageError(said)
        return write_plan(self.found, Path(path))

    def table(self) -> pd.DataFrame:
        """The changes, one row per place."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    "place": step.option.ref,
                    "changes": "; ".join(step.option.words()),
                    "size": step.option.size,
                    "price": step.option.price,
                    "cures": "; ".join(f"{made.ref} {made.without.id}" for made in step.cured),
                }
                for step in self.steps
            ]
        )


class OpenBoard:
    """A board with the parts and the policy it is judged with."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup

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
        from partcheck.jobs.light.brightness import brightness, read_wanted
        from partcheck.jobs.light.ranking import rank_brightness

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
        from partcheck.jobs.change.board import load_name
        from partcheck.jobs.change.options import Asked
        from partcheck.jobs.plan.plan import plan

        return PlanAnswer(plan(self.setup, load_name(self.setup, load) if load else "", Asked(**changes)))

    def check(self) -> CheckAnswer:
        """The board as fitted."""
        return CheckAnswer(_check(self.setup))

    def vet(self, load: str, keys: Mapping[str, object] | None = None, **asked: Any) -> VetAnswer:
        """A load with something changed: ``vet("FV2", voltage="24 V")``, ``vet("FV2", {"rail": "P24"})``.

        ``asked`` takes voltage, current, resistance, inductance, count, at_once, duty, frequency, cable_length and
        wire; ``keys`` any other key of the load, or from the top of the board file.
        """
        from partcheck.jobs.change.board import load_name
        from partcheck.jobs.change.options import Asked
        from partcheck.jobs.vet.vet import vet

        sets = tuple(f"{key}={value}" for key, value in (keys or {}).items())
        return VetAnswer(vet(self.setup, load_name(self.setup, load), Asked(**asked, sets=sets)))


def open_board(
    path: str | Path,
    parts: Sequence[str | Path | Part] = (),
    catalog: str | Path | None = None,
    policy: str | None = None,
) -> OpenBoard:
    """Open a board file, as the commands do.

    ``parts`` are files, folders or :class:`Part` objects; ``catalog`` a file or database URL; ``policy`` a name or a
    TOML file. Raises :class:`partcheck.errors.PartcheckError` with a sentence for everything a user can mend.
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


__all__ = [
    "AcceptAnswer",
    "BrightnessAnswer",
    "BrightnessRankingAnswer",
    "CheckAnswer",
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
    "open_board",
    "open_catalog",
    "read_parts",
    "records",
]
