"""A board said once: ranges (``[role."Q1..Q16"]``) and ``like``, written out as if every member stood there alone.

Four layers make a member, each over the one before: what the table named in ``like`` states, the widest range that
the member lies in, narrower ranges, its own table. ``without`` takes away keys of the layers below. What is written
out is read as any board; :attr:`WrittenOut.came_from` says where each of its keys stands in the file.
"""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from partcheck.board.locate import Path
from partcheck.board.ranges import MOST_NAMES, MOST_RANGES, NotARange, Range, filled, names_in, poles_in, range_of

NAMED = ("rail", "chip", "drive", "load", "role", "track")
"""Tables whose entries have names: there ranges, ``like`` and ``without`` may stand."""
INNER = ("cable", "feed", "chopped")
"""Tables inside an entry: what differs in one is stated key by key; every other value is replaced whole."""
OWN_KEYS = ("like", "without")
SORTS = ("sort", "role")
"""Keys that say what an entry is."""

Keys = dict[str, Any]
Slip = tuple[Path, str]


@dataclass
class WrittenOut:
    """A board's data with every member written out, where each of its keys stands in the file, and what is wrong."""

    data: dict[str, Any]
    came_from: dict[Path, Path] = field(default_factory=dict)
    slips: list[Slip] = field(default_factory=list)

    def place(self, path: Path) -> Path:
        """Where in the file the value stands that is at ``path`` of the board as written out."""
        for depth in range(len(path), 0, -1):
            if path[:depth] in self.came_from:
                return (*self.came_from[path[:depth]], *path[depth:])
        return path


def write_out(data: Mapping[str, Any]) -> WrittenOut:
    """Every range and ``like`` of a board's data written out; data without them comes back equal."""
    made = WrittenOut({})
    for table, entries in data.items():
        if table in NAMED and isinstance(entries, dict):
            made.data[table] = _Table(table, entries, made).written_out()
        else:
            made.data[table] = deepcopy(entries)
    _lists(made)
    return made


@dataclass
class _Layered:
    """One member while its layers are laid over each other."""

    keys: Keys = field(default_factory=dict)
    places: dict[Path, Path] = field(default_factory=dict)
    """Where each key (and each key of an inner table) stands in the file."""
    without: list[str] = field(default_factory=list)

    def lay_over(self, keys: Keys, at: Path) -> None:
        """A further layer, which stands at ``at`` in the file."""
        gone = keys.get("without", [])
        for key in gone if isinstance(gone, list) else [gone]:
            self.take_away(str(key))
            self.without.append(str(key))
        for key, value in keys.items():
            if key != "without":
                inner = value if isinstance(value, dict) else {}
                self._put(key, value, (*at, key), {name: (*at, key, name) for name in inner})

    def lay_under(self, other: "_Layered") -> None:
        """What another member states, where this one states nothing."""
        mine, places = self.keys, self.places
        self.keys = deepcopy({key: value for key, value in other.keys.items() if key not in self.without})
        self.places = {path: at for path, at in other.places.items() if path[0] in self.keys}
        for key, value in mine.items():
            inner = {str(path[1]): at for path, at in places.items() if path[0] == key and len(path) > 1}
            self._put(key, value, places[(key,)], inner)

    def _put(self, key: str, value: Any, at: Path, inner: Mapping[str, Path]) -> None:
        """One value; an inner table is merged with the one below, key by key."""
        below = self.keys.get(key)
        if key in INNER and isinstance(value, dict):
            self.keys[key] = (below if isinstance(below, dict) else {}) | value
            self.places |= {(key, name): place for name, place in inner.items()}
        else:
            self.take_away(key)
            self.keys[key] = value
        self.places[(key,)] = at

    def take_away(self, key: str) -> None:
        """Without a key, as if no layer had stated it."""
        self.keys.pop(key, None)
        self.places = {path: at for path, at in self.places.items() if path[0] != key}


class _Table:
    """The entries of one table of the file."""

    def __init__(self, table: str, entries: Keys, made: WrittenOut) -> None:
        self.table, self.entries, self.made = table, entries, made
        self.ranges: dict[str, Range] = {}
        self.finished: dict[str, _Layered] = {}
        for name in entries:
            try:
                found = range_of(name)
            except NotARange as slip:
                self._slip((table, name), str(slip))
                continue
            if found is None:
                continue
            if len(self.ranges) == MOST_RANGES or sum(each.size for each in self.ranges.values()) > MOST_NAMES:
                most = f"{MOST_RANGES} ranges or {MOST_NAMES} members"
                self._slip((table, name), f"the ranges of {table} are more than {most} together; state fewer")
                break
            self.ranges[name] = found
        self._refuse_crossing()

    def _slip(self, at: Path, sentence: str) -> None:
        if (at, sentence) not in self.made.slips:
            self.made.slips.append((at, sentence))

    def _refuse_crossing(self) -> None:
        known = list(self.ranges.items())
        for i, (name, one) in enumerate(known):
            for other_name, other in known[:i]:
                if one.crosses(other):
                    self._slip(
                        (self.table, name),
                        f"the ranges {other_name} and {name} overlap, and neither lies in the other; part them",
                    )

    def written_out(self) -> Keys:
        """Every member, in the order of the file."""
        if not self._short():
            return deepcopy(self.entries)
        self.layered = {name: self._layers(name) for name in self._names()}
        for name in self.layered:
            self._finish(name, ())
        for name, member in self.finished.items():
            here: Path = (self.table, name)
            own = name if name in self.entries else self._covering(name)[-1]
            self.made.came_from[here] = (self.table, own)
            self.made.came_from |= {(*here, *path): at for path, at in member.places.items()}
        return {name: member.keys for name, member in self.finished.items()}

    def _short(self) -> bool:
        tables = [entry for entry in self.entries.values() if isinstance(entry, dict)]
        return bool(self.ranges) or any(key in entry for entry in tables for key in OWN_KEYS)

    def _names(self) -> Iterator[str]:
        seen: set[str] = set()
        for name in self.entries:
            if name in self.ranges:
                names = [member for member, _ in self.ranges[name].members()]
            elif isinstance(self.entries[name], dict):
                names = [] if self._covering(name) else [name]
            else:
                self._slip((self.table, name), "must be a table")
                continue
            for member in names:
                if member not in seen:
                    seen.add(member)
                    yield member

    def _covering(self, member: str) -> list[str]:
        """The ranges that a member lies in, widest first."""
        found = [name for name, made in self.ranges.items() if made.number(member) is not None]
        return sorted(found, key=lambda name: -self.ranges[name].size)

    def _layers(self, member: str) -> _Layered:
        made = _Layered()
        for name in self._covering(member):
            entry = self.entries[name]
            if not isinstance(entry, dict):
                self._slip((self.table, name), "must be a table")
                continue
            number = self.ranges[name].number(member)
            assert number is not None
            try:
                made.lay_over(filled(entry, "n", number, self.ranges[name].width), (self.table, name))
            except NotARange as slip:
                self._slip((self.table, name), str(slip))
        if member in self.entries:
            made.lay_over(deepcopy(self.entries[member]), (self.table, member))
        return made

    def _finish(self, name: str, waiting: tuple[str, ...]) -> _Layered | None:
        """A member with what it takes from the one that it is like; None where that goes in a ring."""
        if name in self.finished:
            return self.finished[name]
        member = self.layered[name]
        if "like" in member.keys:
            other, at = member.keys["like"], member.places[("like",)]
            member.take_away("like")
            base = self._base(name, other, at, (*waiting, name))
            if base is not None:
                self._same_sort(name, member, other, base, at)
                member.lay_under(base)
        self.finished[name] = member
        return member

    def _base(self, name: str, other: Any, at: Path, waiting: tuple[str, ...]) -> "_Layered | None":
        if not isinstance(other, str):
            self._slip(at, 'names one entry, as in like = "Q1"')
            return None
        if other in waiting:
            ring = [*waiting[waiting.index(other) :], other]
            self._slip(at, f"goes round in a ring ({' like '.join(ring)}); one of them must state its values itself")
            return None
        if other not in self.layered:
            self._slip(at, f"there is no {self.table} {other!r} for {name} to be like; name one that this file states")
            return None
        return self._finish(other, waiting)

    def _same_sort(self, name: str, member: _Layered, other: str, base: _Layered, at: Path) -> None:
        for key in SORTS:
            mine, its = member.keys.get(key), base.keys.get(key)
            if mine is not None and its is not None and mine != its:
                self._slip(at, f"{name} is {key} {mine!r} and {other} is {its!r}; it can be like its own {key} only")


# ---- lists of names and of poles


def _lists(made: WrittenOut) -> None:
    """Ranges in the lists that name loads and indicators, and in the numbers of poles."""
    for table in ("role", "track"):
        entries = made.data.get(table)
        for name, entry in entries.items() if isinstance(entries, dict) else ():
            if isinstance(entry, dict):
                _named_things(made, entry, "load", (table, name))
                _poles(made, entry, (table, name))
    groups = made.data.get("at_once")
    for i, group in enumerate(groups if isinstance(groups, list) else ()):
        if isinstance(group, dict):
            _named_things(made, group, "of", ("at_once", i))


def _named_things(made: WrittenOut, entry: Keys, key: str, at: Path) -> None:
    try:
        if key in entry:
            entry[key] = names_in(entry[key])
    except NotARange as slip:
        made.slips.append((made.place((*at, key)), str(slip)))


def _poles(made: WrittenOut, entry: Keys, at: Path) -> None:
    if not isinstance(entry.get("poles"), list):
        return
    try:
        entry["poles"] = poles_in(entry["poles"])
    except NotARange as slip:
        made.slips.append((made.place((*at, "poles")), str(slip)))
        return
    for pole in entry["poles"]:
        if isinstance(pole, dict):
            _named_things(made, pole, "load", (*at, "poles"))
