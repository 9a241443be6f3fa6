"""What was made of a board, each value once, and the places whose parts each of them rests on."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

SIDE = "side of "
"""Before a reference in what a fact rests on: not the part there counts, but on which side the clamp is drawn."""
BESIDE = "beside "
"""The same: not the part there counts, but a resistor beside it."""
FINDING, VIEW = "finding", "view"
"""Second in the key of a requirement judged, and of a number of a part in its place."""
LISTS = frozenset({"path", "items"})
"""First in the key of the links of a path, and of the currents of a rail."""
Key = tuple[str, ...]
"""First the reference that a value belongs to, else its kind (``rail``, ``load``); then what it is, and its name."""


class Memory:
    """Values by their keys, each made when it is first asked for, with what it rests on.

    What a value rests on is one whole number with a bit for each name: what rests on all of a large board is joined
    as fast as what rests on one place.
    """

    def __init__(self) -> None:
        self._bits: dict[str, int] = {}
        """The bit of each name; shared with the memory from which values are taken over."""
        self._once: dict[Key, tuple[Any, int]] = {}
        self._used: list[int] = []
        self._of_place: dict[str, list[Key]] = {}
        self._sorted = 0
        """So many of what was made are sorted by place; what is made later stands behind them."""

    def once(self, key: Key, make: Callable[[], Any]) -> Any:
        """Make a value when it is first asked for, and remember which places' parts it rests on."""
        kept = self._once.get(key)
        if kept is None:
            self._used.append(0)
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
            self._used[-1] |= self._bit(ref)

    def reads_beside(self, ref: str) -> None:
        """Note that what is being made rests on a resistor at ``ref`` alone, whatever part is there."""
        self.reads(BESIDE + ref)

    def reads_side(self, ref: str) -> None:
        """Note that what is being made rests on which side the clamp ``ref`` sits."""
        self.reads(SIDE + ref)

    def _bit(self, name: str) -> int:
        known = self._bits.get(name)
        if known is None:
            known = self._bits[name] = 1 << len(self._bits)
        return known

    def any_of(self, names: Iterable[str]) -> int:
        """The bits of some names."""
        made = 0
        for name in names:
            made |= self._bit(name)
        return made

    def _places(self, used: int) -> set[str]:
        """References, of parts and resistors alike, and sides of clamps."""
        return {name.removeprefix(BESIDE) for name, bit in self._bits.items() if used & bit}

    def rests_on(self, ref: str) -> set[str]:
        """The places whose parts this place's facts, as far as they were asked for, rest on."""
        for key in list(self._once)[self._sorted :]:
            self._of_place.setdefault(key[0], []).append(key)
        self._sorted = len(self._once)
        used = 0
        for key in self._of_place.get(ref, ()):
            used |= self._once[key][1]
        return self._places(used)

    def fact_rests_on(self, ref: str, name: str, facts: Mapping[str, object]) -> set[str]:
        """The places whose parts one fact of a place or link rests on."""
        if (ref, "fact", name) not in self._once:
            facts.get(name)
        return self.grounds((ref, "fact", name))

    def grounds(self, key: Key) -> set[str]:
        """What a value that was made once rests on."""
        return self._places(self._once[key][1])
