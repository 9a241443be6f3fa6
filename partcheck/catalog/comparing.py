"""What taking parts in would do, before it is done; and whether it still would when it is."""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load
from partcheck.catalog.tables import WIDE
from partcheck.catalog.writing import by_kind, chunks, differences, known_ids
from partcheck.parts.part import Part

Step = Callable[[int, int], None]


class PartComparison(NamedTuple):
    """The parts that are new, those that would change (former, as given), and how many would not."""

    new: list[Part]
    changed: list[tuple[Part, Part]]
    same: int

    @property
    def differing(self) -> list[Part]:
        """The parts as given that are new or would change."""
        return [*self.new, *(part for _, part in self.changed)]


def compare(connection: sa.Connection, parts: Sequence[Part], step: Step) -> PartComparison:
    """What the catalog would do with the parts; ``step`` is told how many of how many were looked at."""
    found = PartComparison([], [], 0)
    done = 0
    for kind, some in by_kind(parts).items():
        known = known_ids(connection, kind, some)
        found.new.extend(part for key, part in some.items() if key not in known)
        pairs = [(known[key], some[key]) for key in some if key in known]
        done += len(some) - len(pairs)
        for chunk in chunks(pairs):
            step(done, len(parts))
            former = load(connection, kind, WIDE[kind].c.id.in_([part_id for part_id, _ in chunk]))
            differing = [(former[i], part) for i, part in chunk if not same(former[i], part)]
            found.changed.extend(differing)
            found = found._replace(same=found.same + len(chunk) - len(differing))
            done += len(chunk)
    return found


def changed_since(connection: sa.Connection, seen: PartComparison) -> Part | None:
    """A part of which the catalog says something else by now than when it was compared; None where there is none."""
    now = compare(connection, seen.differing, lambda done, total: None)
    former = {(part.kind, part.key): before for before, part in seen.changed}
    still_new = {id(part) for part in now.new}
    for part in seen.new:
        if id(part) not in still_new:
            return part
    for before, part in now.changed:
        if (part.kind, part.key) not in former or not same(former[part.kind, part.key], before):
            return part
    return None if len(now.changed) == len(seen.changed) else seen.changed[0][1]


def same(former: Part, part: Part) -> bool:
    """Whether two parts state the same; a quick look first, since of many parts most do."""
    names = former.tables.keys() | part.tables.keys()
    plainly = (former.maker, former.values, former.provenance) == (part.maker, part.values, part.provenance)
    if plainly and all(_same_points(former.table(name).columns, part.table(name).columns) for name in names):
        return True
    return next(iter(differences(former, part)), None) is None


def _same_points(former: Mapping[str, Sequence[float]], points: Mapping[str, Sequence[float]]) -> bool:
    def stated(columns: Mapping[str, Sequence[float]]) -> dict[str, list[float | None]]:
        return {name: [None if value != value else value for value in values] for name, values in columns.items()}

    return former == points or stated(former) == stated(points)
