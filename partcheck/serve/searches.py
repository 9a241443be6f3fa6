"""What was found in the catalog, kept while it stays as it is: people look at the same lists, and each reads it all."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from partcheck.catalog import Catalog

KEPT = 200
"""Answers, each of no more parts than a page shows."""
_Made = TypeVar("_Made")


class Searches:
    """Answers of the catalog as it was at its last change; a file that anything else changed is another one, too."""

    def __init__(self, where: str | None) -> None:
        self.where = where
        self._turn = threading.Lock()
        self._kept: OrderedDict[Hashable, Any] = OrderedDict()

    def state(self, catalog: "Catalog") -> Hashable:
        """What changes when the catalog does; to be asked before it is read."""
        from partcheck.catalog.place import find_place
        from partcheck.catalog.snapshot import state_of_file

        path = find_place(self.where).path
        return (catalog.last_change_id(), tuple(state_of_file(path)) if path is not None else ())

    def once(self, state: Hashable, asked: Hashable, make: Callable[[], _Made]) -> _Made:
        """An answer, made when it is first asked for in that state."""
        key = (state, asked)
        with self._turn:
            if key in self._kept:
                self._kept.move_to_end(key)
                known: _Made = self._kept[key]
                return known
        made = make()
        with self._turn:
            self._kept[key] = made
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return made
