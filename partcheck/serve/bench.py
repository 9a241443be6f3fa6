"""What every request works with: what is served, the keys, the folder, the boards kept open."""

import logging
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated

from fastapi import Depends, Request

from partcheck.errors import masked
from partcheck.serve.folder import Folder
from partcheck.serve.keys import Keys
from partcheck.serve.peers import KnownPeers
from partcheck.serve.searches import Searches
from partcheck.serve.serving import Serving
from partcheck.serve.uploads import Uploads
from partcheck.serve.warm import WarmBoards
from partcheck.serve.worker import Workers

if TYPE_CHECKING:
    from partcheck.catalog import Catalog


@dataclass
class Bench:
    """One server's own things."""

    serving: Serving
    keys: Keys = field(default_factory=Keys)

    def __post_init__(self) -> None:
        self.folder = Folder(self.serving.folder.resolve())
        self.boards = WarmBoards(self.serving, self.folder)
        self.uploads = Uploads()
        self.peers = KnownPeers()
        self.searches = Searches(self.serving.catalog)
        self.workers = Workers(self.serving)

    def tell_fault(self, fault: str, where: str) -> None:
        """Say on the terminal what went wrong inside, without a secret."""
        logging.getLogger("partcheck.serve").error("%s while answering %s", masked(fault), where)

    def open_catalog(self, create: bool = False) -> "Catalog":
        """The catalog that is served, made with ``create`` where there is none; use it in a ``with`` block."""
        from partcheck.catalog import open_catalog

        return open_catalog(self.serving.catalog, create)


def _bench(request: Request) -> Bench:
    made: Bench = request.app.state.bench
    return made


OnBench = Annotated[Bench, Depends(_bench)]
