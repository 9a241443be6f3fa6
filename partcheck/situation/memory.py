"""What was made of a board, each value once, and the places whose parts each of them rests on."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

SIDE = "side of "
"""Before a reference in what a fact rests on: not the part there counts, but on which side the clamp is drawn."""
BESIDE = "beside "
"""The same: not the part there counts, but a resistor beside it."""
FINDING, VIEW = "finding", "view"
"""Second in the key of a requirement judged, and of a number of a part in its place."""
Key = tuple[str, ...]
"""First the reference that a value belongs to, else its kind (``rail``, ``load``); then what it is, and its name."""


def _places(used: Iterable[str]) -> set[str]:
    """References, of parts and resistors alike, and sides of clamps."""
    return {name.removeprefix(BESIDE) for name in used}


class Memory:
    """Values by their keys, each made when it is first asked for, with what it rests on."""

    def __init__(self) -> None:
        self._once: dict[Key, tuple[Any, set[str]]] = {}
        self._used: list[set[str]] = []
        self._of_place: dict[str, list[Key]] = {}
        self._sorted = 0
        """So many of what was made are sorted by place; what is made later stands behind them."""

    def once(self, key: Key, make: Callable[[], Any]) -> Any:
        """Make a value when it is first asked for, and remember which places' parts it rests on."""
        kept = self._once.get(key)
        if kept is None:
            self._used.append(set())
            try:
                value = make()
            finally:
                used = self._used.pop()
            kept = self._once[key] = value, used
        if self._used:
            self._used[-1] |= kept[1]
        return kept[0]

    def reads(self, ref: str) -> None:
        """Note that what is being made rests on the part at ``ref``."""
        if self._used:
            self._used[-1].add(ref)

    def reads_beside(self, ref: str) -> None:
        """Note that what is being made rests on a resistor at ``ref`` alone, whatever part is there."""
        self.reads(BESIDE + ref)

    def reads_side(self, ref: str) -> None:
        """Note that what is being made rests on which side the clamp ``ref`` sits."""
        self.reads(SIDE + ref)

    def rests_on(self, ref: str) -> set[str]:
        """The places whose parts this place's facts, as far as they were asked for, rest on."""
        for key in list(self._once)[self._sorted :]:
            self._of_place.setdefault(key[0], []).append(key)
        self._sorted = len(self._once)
        return _places(set().union(*(self._once[key][1] for key in self._of_place.get(ref, ()))))

    def fact_rests_on(self, ref: str, name: str, facts: Mapping[str, object]) -> set[str]:
        """The places whose parts one fact of a place or link rests on."""
        if (ref, "fact", name) not in self._once:
            facts.get(name)
        return self.grounds((ref, "fact", name))

    def grounds(self, key: Key) -> set[str]:
        """What a value that was made once rests on."""
        return _places(self._once[key][1])
