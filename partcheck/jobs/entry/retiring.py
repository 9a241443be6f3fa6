"""Marking a part obsolete: nothing is deleted, and the reason stands beside its status."""

from dataclasses import replace
from typing import TYPE_CHECKING

from partcheck.errors import UsageError
from partcheck.parts import Part, Provenance

if TYPE_CHECKING:
    from partcheck.catalog import Catalog


def retire(catalog: "Catalog", part: Part, reason: str, who: str, when: str) -> None:
    """Mark the part, as it was read, obsolete."""
    reason = " ".join(reason.split())
    if not reason:
        raise UsageError("a part is retired for a reason; say it with --reason")
    if part.word("status") == "obsolete":
        raise UsageError(
            f"{part.name} is obsolete already; `partcheck catalog history {part.part_number}` shows since when"
        )
    source = Provenance(condition=reason, entered_by=who, entered_on=when[:10])
    made = replace(
        part,
        values={**part.values, "status": "obsolete"},
        provenance={**part.provenance, "status": source},
    )
    catalog.change(made, part, who, when, "retire", reason)
