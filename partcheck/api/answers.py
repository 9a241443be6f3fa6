"""The answers of a notebook: objects with what was found, each as text, a page, Markdown, a record, a table."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partcheck.errors import UsageError
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    import pandas as pd

    from partcheck.jobs.check.board import Checked
    from partcheck.jobs.check.part import Explained
    from partcheck.jobs.decisions.accept import Decided
    from partcheck.jobs.decisions.stale import Records
    from partcheck.jobs.evidence.evidence import Evidence
    from partcheck.jobs.judge.place import Judged
    from partcheck.jobs.light.brightness import Brightened
    from partcheck.jobs.light.ranking import BrightnessRanking
    from partcheck.jobs.plan.plan import Planned
    from partcheck.jobs.swap.swap import Swapped
    from partcheck.jobs.sweep.limits import Limited
    from partcheck.jobs.sweep.map import ChannelMap
    from partcheck.jobs.vet.vet import Vetted
    from partcheck.report.document import Document
    from partcheck.report.record import Record


REQUIREMENTS = (
    "place", "part_number", "requirement", "verdict", "demand", "capability", "unit", "headroom", "missing", "assumed",
)  # fmt: skip
"""Columns of a table of requirements, also of an empty one."""


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
    """What every answer offers: itself as a record, text, a page, Markdown; ``found`` is what the job found."""

    found: Any

    def _made_record(self) -> Record:
        raise NotImplementedError

    def _document(self, pictures: bool = False) -> Document:
        raise NotImplementedError

    def record(self) -> dict[str, Any]:
        """As the JSON answer, in plain objects."""
        return self._made_record().model_dump(mode="json")

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


class CheckAnswer(Answer):
    """A board as fitted. ``places`` and ``links`` hold every finding."""

    def __init__(self, found: Checked) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.places, self.links = found.places, found.links

    def _made_record(self) -> Record:
        from partcheck.report.answers.check.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.check.document import document

        return document(self.found, pictures)

    def table(self) -> pd.DataFrame:
        """One row per requirement of every place and link; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements([*self.places, *self.links]), columns=list(REQUIREMENTS))


class ExplainAnswer(Answer):
    """One part in one place."""

    def __init__(self, found: Explained) -> None:
        self.found = found
        self.verdict: Verdict = found.judged.verdict
        self.place = found.judged

    def _made_record(self) -> Record:
        from partcheck.report.answers.explain.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.explain.document import document

        return document(self.found, pictures)

    def table(self) -> pd.DataFrame:
        """One row per requirement; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements([self.place]), columns=list(REQUIREMENTS))


class SwapAnswer(Answer):
    """The stand-ins for a place, best first."""

    def __init__(self, found: Swapped) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.candidates = found.candidates
        self.why_first, self.why_not = found.why_first, found.why_not

    def _made_record(self) -> Record:
        from partcheck.report.answers.swap.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.swap.document import document

        return document(self.found, pictures)

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
            ],
            columns=["part_number", "maker", "verdict", "headroom", "set_by", "changes", "price", "quantity"],
        )


class BrightnessAnswer(Answer):
    """An LED beside the fitted one, and the resistor for equal or wanted light."""

    def __init__(self, found: Brightened) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.circuits, self.recommended = found.choices, found.best

    def _made_record(self) -> Record:
        from partcheck.report.answers.brightness.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.brightness.document import document

        return document(self.found, pictures)

    def table(self) -> pd.DataFrame:
        """The circuits side by side, one column each: fitted, as drawn, and each preferred resistor; SI, kelvin."""
        import pandas as pd

        made = {"as drawn": self.found.drawn.point} | {f"{c.resistance:g} Ω": c.point for c in self.circuits}
        if self.found.before is not None:
            made = {"fitted": self.found.before} | made
        return pd.DataFrame({name: dict(point.values) for name, point in made.items()})


class BrightnessRankingAnswer(Answer):
    """Every known LED for a place, each with the resistor for equal or wanted light, best first."""

    def __init__(self, found: BrightnessRanking) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.ranked, self.others = found.ranked, found.others

    def _made_record(self) -> Record:
        from partcheck.report.answers.leds.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.leds.document import document

        return document(self.found, pictures)

    def table(self) -> pd.DataFrame:
        """The CSV answer as a table: those ranked first, then the others."""
        import io

        import pandas as pd

        from partcheck.report.answers.leds import sheet as leds_sheet

        return pd.read_csv(io.StringIO(leds_sheet.text(self.found)))


class LimitsAnswer(Answer):
    """The rating sheet of a board, or of one channel with its map."""

    def __init__(self, found: Limited, made: ChannelMap | None) -> None:
        self.found, self.map = found, made
        self.verdict: Verdict = found.verdict
        self.channels, self.air, self.at_once = found.channels, found.air, found.at_once

    def _made_record(self) -> Record:
        from partcheck.report.answers.limits.record import record

        return record(self.found, self.map)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.limits.document import document

        return document(self.found, pictures, map_=self.map)

    def table(self) -> pd.DataFrame:
        """One row per limit; SI numbers, temperatures in °C."""
        import io

        import pandas as pd

        from partcheck.report.answers.limits import sheet as limits_sheet

        return pd.read_csv(io.StringIO(limits_sheet.sheet(self.found)))


class AcceptAnswer(Answer):
    """A substitution that was accepted and written down."""

    def __init__(self, found: Decided) -> None:
        self.found = found
        self.verdict: Verdict = found.candidate.verdict
        self.number = found.row.number

    def _made_record(self) -> Record:
        from partcheck.report.answers.decisions.record import accepted

        return accepted(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.decisions.document import accepted

        return accepted(self.found)


class RecordsAnswer(Answer):
    """Accepted substitutions, newest first, and whether each still stands."""

    def __init__(self, found: Records) -> None:
        self.found = found
        self.standings = found.standings

    def _made_record(self) -> Record:
        from partcheck.report.answers.decisions.record import recorded

        return recorded(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.decisions.document import listed

        return listed(self.found)

    def table(self) -> pd.DataFrame:
        """One row per accepted substitution, as the CSV has it but with every text as it was given."""
        import pandas as pd

        from partcheck.report.answers.decisions.sheet import HEADER, cells

        return pd.DataFrame([cells(standing) for standing in self.standings], columns=list(HEADER))


class VetAnswer(Answer):
    """A load with what was changed about it, on the whole board; ``gives_way`` lists what fails, first to go first."""

    def __init__(self, found: Vetted) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.steps, self.figures, self.gives_way = found.steps, found.figures, found.gives_way

    def _made_record(self) -> Record:
        from partcheck.report.answers.vet.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.vet.document import document

        return document(self.found, pictures)

    def table(self) -> pd.DataFrame:
        """One row per requirement of every place and link as changed; SI numbers, temperatures in kelvin."""
        import pandas as pd

        return pd.DataFrame(_requirements(self.found.after), columns=list(REQUIREMENTS))


class EvidenceAnswer(Answer):
    """What requirements rest on: ``found.grounds`` hold all that speaks for each."""

    def __init__(self, found: Evidence) -> None:
        self.found = found

    def _made_record(self) -> Record:
        from partcheck.report.answers.evidence.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.evidence.document import document

        return document(self.found)


class PlanAnswer(Answer):
    """The smallest set of changes with which a board meets, or what stands in the way."""

    def __init__(self, found: Planned) -> None:
        self.found = found
        self.verdict: Verdict = found.verdict
        self.outcome: str = found.outcome.value
        self.steps = found.steps

    def _made_record(self) -> Record:
        from partcheck.report.answers.plan.record import record

        return record(self.found)

    def _document(self, pictures: bool = False) -> Document:
        from partcheck.report.answers.plan.document import document

        return document(self.found, pictures)

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
            ],
            columns=["place", "changes", "size", "price", "cures"],
        )
