"""What the answers about the catalog share: where it is, which day it is, and a part by its name."""

from collections.abc import Sequence
from datetime import date

from partcheck.report import document as d


def about_catalog(
    job: str,
    title: d.Line,
    where: str,
    finding: d.Finding,
    *blocks: d.Block | None,
    identity: Sequence[tuple[str, d.Line]] = (),
    catalog: str = "Catalog",
    made_on: date | None = None,
) -> d.Document:
    """An answer about the catalog at ``where``, which is named as ``catalog`` says; an empty place is none."""
    return d.Document(
        job,
        title,
        (*identity, *(((catalog, (d.Name(where),)),) if where else ())),
        d.present(finding, *blocks),
        made_on=(made_on or date.today()).isoformat(),
        foot=d.FROM_CATALOG,
    )


def part_name(part_number: str, maker: str) -> d.Line:
    """A part with its maker: ``MOBY-F60-70 (Morrowby)``."""
    return d.line(d.Name(part_number), " (", d.Name(maker), ")")


__all__ = ["about_catalog", "part_name"]
