"""What was made of a board, each value once, and the places whose parts each of them rests on."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from partcheck.requirement import Fact

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


Noted = dict[Key, Any]
"""What a value was made of: each named value that was read, what each value without a name was made of itself, and each
place that was looked at, as it was."""
MOST = 6
"""So many ways in which one value came about are remembered, the latest ones."""
ALL = 30_000
"""So many values are remembered with them; then it begins anew. A board of 30 places has some 5000."""


class Occupied:
    """A place as it is: its part, and the board's entry of it. There is one for the same part and entry."""

    __slots__ = ("entry", "part")

    def __init__(self, part: Any, entry: Any) -> None:
        self.part, self.entry = part, entry


class Held:
    """A value with what it rests on; ``noted`` is what it was made of, None where nobody asks.

    ``named`` says that it may be asked for by its key alone: whoever reads it notes it, and not what it was made of.
    """

    __slots__ = ("named", "noted", "used", "value")

    def __init__(self, value: Any, used: int, noted: Noted | None, named: bool) -> None:
        self.value, self.used, self.noted, self.named = value, used, noted, named


def alike(one: Any, other: Any) -> bool:
    """True for the same value, or for facts that say the same in every word."""
    if one is other:
        return True
    if type(one) is not Fact or type(other) is not Fact:
        return False
    a, b = one.value, other.value
    same = a is b or (type(a) is type(b) and (a == b or (a != a and b != b)) and (a != 0 or str(a) == str(b)))
    rest = (
        (one.source, one.missing, one.assumed, one.bounded),
        (other.source, other.missing, other.assumed, other.bounded),
    )
    return bool(same) and rest[0] == rest[1]


class Memory:
    """Values by their keys, each made when it is first asked for, with what it rests on.

    What a value rests on is one whole number with a bit for each name: what rests on all of a large board is joined
    as fast as what rests on one place.

    A board with another part in one place takes over from the board that it was made of (:attr:`_before`) what does
    not rest on that place. Of the rest it remembers what each value was made of (:attr:`_ways`, one for all boards that
    were made of each other): a value stands where all that it once read comes out the same again, in the order in
    which it was read. So a remembered value is never out of date: it is compared whenever it is taken, and what can
    not be compared is made anew.
    """

    def __init__(self, noting: bool = True) -> None:
        self._bits: dict[str, int] = {}
        """The bit of each name; shared with the memory from which values are taken over."""
        self._once: dict[Key, Held] = {}
        self._used: list[int] = []
        self._noted: list[Noted | None] = []
        self._ways: dict[tuple[Key, Occupied | None], list[Held]] | None = {} if noting else None
        """Earlier values with what they were made of, by key and place as it is; None where nothing is noted."""
        self._inside: dict[int, tuple[Noted, int | None]] = {}
        """What was looked at of values without a name: kept beside the result, so that no other has its id."""
        self._before: Memory | None = None
        self._of_place: dict[str, list[Key]] = {}
        self._sorted = 0
        """So many of what was made are sorted by place; what is made later stands behind them."""

    @property
    def noting(self) -> bool:
        """True where it is noted what each value was made of."""
        return self._ways is not None

    # ---- what whoever keeps values says of them

    def _stands(self, key: Key, held: Held) -> bool:
        """True where a value of the memory before is the same here."""
        raise NotImplementedError

    def _keeps(self, key: Key, value: Any) -> bool:
        """True for a value that does not know its situation, so that another one may have it."""
        raise NotImplementedError

    def _named(self, key: Key) -> bool:
        """True for a value that may be asked for by its key alone."""
        raise NotImplementedError

    def _ask(self, key: Key) -> None:
        """Make the value of a key that is named so."""
        raise NotImplementedError

    def _occupied(self, name: str) -> Occupied:
        """A place as it is; of a name that begins with a side or what is beside it, without its part."""
        raise NotImplementedError

    def _own(self, key: Key) -> str:
        """The place that a value may read without a word, as it belongs there; none where it is empty."""
        raise NotImplementedError

    # ---- making and taking over

    def once(self, key: Key, make: Callable[[], Any]) -> Any:
        """Make a value when it is first asked for, and remember which places' parts it rests on."""
        held = self._once.get(key)
        if held is None:
            held = self._taken_over(key) or self._as_before(key) or self._made(key, make)
            self._once[key] = held
        if self._used:
            self._used[-1] |= held.used
            noted = self._noted[-1]
            if noted is not None:
                if held.named:
                    noted[key] = held.value
                elif held.noted is not None:  # it stands for all that it was made of
                    noted[key] = held.noted
        return held.value

    def _made(self, key: Key, make: Callable[[], Any]) -> Held:
        noted: Noted | None = None
        if self._ways is not None:
            own = self._own(key)
            spot = self._occupied(own) if own else None
            noted = {("", own): spot} if own else {}
        self._used.append(0)
        self._noted.append(noted)
        try:
            value = make()
        finally:
            used = self._used.pop()
            self._noted.pop()
        held = Held(value, used, noted, noted is not None and self._named(key))
        if self._ways is not None and self._keeps(key, value):
            if len(self._ways) > ALL:
                self._ways.clear()
            ways = self._ways.setdefault((key, spot), [])
            ways.append(held)
            del ways[:-MOST]
        return held

    def _taken_over(self, key: Key) -> Held | None:
        """The value of the memory before, where it is the same here."""
        if self._before is None:
            return None
        held = self._before._once.get(key) or self._before._taken_over(key)
        return held if held is not None and self._stands(key, held) else None

    def _as_before(self, key: Key) -> Held | None:
        """A value that came about before in a way that would be the same here."""
        if not self._ways:
            return None
        own = self._own(key)
        for held in reversed(self._ways.get((key, self._occupied(own) if own else None), ())):
            used = self._same_way(held.noted or {})
            if used is not None:
                return Held(held.value, used, held.noted, held.named)
        return None

    def _same_way(self, noted: Noted) -> int | None:
        """What a value rests on here, where all that it was made of is the same; else None."""
        self._used.append(0)  # what is asked for meanwhile is not asked for by whoever waits
        self._noted.append(None)
        used = 0
        try:
            for key, was in noted.items():
                if len(key) == 1 or not key[0]:
                    if self._occupied(key[-1]) is not was:
                        return None
                    used |= self._bit(key[0]) if key[0] else 0
                    continue
                if type(was) is dict:
                    inner = self._same_inside(was)
                    if inner is None:
                        return None
                    used |= inner
                    continue
                if key not in self._once:
                    self._ask(key)
                held = self._once[key]
                if not alike(held.value, was):
                    return None
                used |= held.used
        finally:
            self._used.pop()
            self._noted.pop()
        return used

    def _same_inside(self, noted: Noted) -> int | None:
        """The same of what a value without a name was made of; looked at once, as what is made here stays."""
        if id(noted) not in self._inside:
            self._inside[id(noted)] = noted, self._same_way(noted)
        return self._inside[id(noted)][1]

    def reads(self, ref: str) -> None:
        """Note that what is being made rests on the part at ``ref``."""
        if self._used:
            self._used[-1] |= self._bit(ref)
            noted = self._noted[-1]
            if noted is not None:
                noted[(ref,)] = self._occupied(ref)

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
        used = 0
        for held in self._of(ref).values():
            used |= held.used
        return self._places(used)

    def _of(self, ref: str) -> dict[Key, Held]:
        """What was made of a place, and what stands of it from before."""
        for key in list(self._once)[self._sorted :]:
            self._of_place.setdefault(key[0], []).append(key)
        self._sorted = len(self._once)
        made: dict[Key, Held] = {}
        if self._before is not None:
            made = {key: held for key, held in self._before._of(ref).items() if self._stands(key, held)}
        return made | {key: self._once[key] for key in self._of_place.get(ref, ())}

    def _known(self, key: Key) -> Held | None:
        """A value that was made here or stands from before."""
        return self._once.get(key) or self._taken_over(key)

    def fact_rests_on(self, ref: str, name: str, facts: Mapping[str, object]) -> set[str]:
        """The places whose parts one fact of a place or link rests on."""
        if self._known((ref, "fact", name)) is None:
            facts.get(name)
        return self.grounds((ref, "fact", name))

    def grounds(self, key: Key) -> set[str]:
        """What a value that was made once rests on."""
        held = self._known(key)
        assert held is not None
        return self._places(held.used)
