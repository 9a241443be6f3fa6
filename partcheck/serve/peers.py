"""What parts of a kind usually state, kept while the catalog stays as it is: making it reads thousands of parts."""

import threading
from typing import TYPE_CHECKING

from partcheck.jobs.entry.review import PEERS
from partcheck.parts.review.peers import Peers

if TYPE_CHECKING:
    from partcheck.catalog import Catalog


class KnownPeers:
    """The peers of each kind as the catalog was at its last change."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._kept: dict[str, tuple[object, Peers]] = {}

    def of(self, catalog: "Catalog", kind: str) -> Peers:
        """What parts of that kind state; one thread makes it, the others wait."""
        with self._turn:
            state = (catalog.last_change_id(), catalog.count()[kind])
            known = self._kept.get(kind)
            if known is None or known[0] != state:
                known = (state, Peers(catalog.some(kind, PEERS)))
                self._kept[kind] = known
            return known[1]
