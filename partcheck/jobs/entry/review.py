"""Looking through parts that were just taken in."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.review import Doubt, review
from partcheck.stages import during

if TYPE_CHECKING:
    from partcheck.catalog import Catalog

MOST = 2000
"""More parts at once are not looked through unasked."""
PEERS = 3000
"""Parts of a kind that tell what is usual; where there are many more, more would tell the same."""


def doubts_about(catalog: "Catalog", parts: Sequence[Part]) -> list[Doubt] | None:
    """What is doubtful about these parts beside the others of the catalog; None where they are too many."""
    if len(parts) > MOST:
        return None
    kinds = dict.fromkeys(part.kind for part in parts)
    return review(parts, [part for kind in kinds for part in catalog.some(kind, PEERS)])


def looked_through(catalog: "Catalog", kind: str = "", part: Part | None = None) -> tuple[list[Doubt], int]:
    """What is doubtful about one part beside its peers, or about all of a kind or of the catalog; of how many parts."""
    if part is not None:
        return review([part], catalog.some(part.kind, PEERS)), 1
    with during("reading the catalog"):
        parts = [each for name in ([kind] if kind else KINDS) for each in catalog.parts(name)]
    return review(parts, parts), len(parts)
