"""Whether the catalog is sound: what was looked at, and whatever is not as it should be."""

from datetime import date
from typing import TYPE_CHECKING

from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog

if TYPE_CHECKING:
    from partcheck.catalog.verifying import Verified


def document(answer: "Verified", where: str, made_on: date | None = None) -> d.Document:
    """The whole answer, by what was looked at."""
    sections = []
    for check in dict.fromkeys(finding.check for finding in answer.findings):
        told = [
            d.line(d.Name(finding.where), ": ", d.Name(finding.told))
            for finding in answer.findings
            if finding.check == check
        ]
        sections.append(d.Section((check.capitalize(),), (d.Listing(tuple(told)),)))
    return about_catalog(
        "verify", ("Whether the catalog is sound",), where, _head(answer, where), *sections, made_on=made_on
    )


def _head(answer: "Verified", where: str) -> d.Finding:
    number = len(answer.findings)
    if number:
        what = "1 thing is not as it should be" if number == 1 else f"{number} things are not as they should be"
        looked = f"{answer.parts} parts and {answer.changes} recorded changes were looked at, and nothing was changed."
        return d.Finding(None, (d.line(f"{what} in ", d.Name(where), "."), (looked,)))
    counts = f"Sound: {answer.parts} parts and {answer.changes} recorded changes in "
    looked = "; the database, every reference, every value and every history were looked at."
    return d.Finding(None, (d.line(counts, d.Name(where), looked),))


__all__ = ["document"]
