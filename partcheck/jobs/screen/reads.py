"""Which facts a requirement reads, and how much it compares, without any part: a formula never branches on a value."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from partcheck.parts import Part
from partcheck.readings.verdicts import columns_of
from partcheck.requirement import Fact, Role, pairs, views


class _Heard:
    """Facts that remember which were asked for."""

    def __init__(self, facts: Mapping[str, Fact]) -> None:
        self.facts, self.heard = facts, set[str]()

    def number(self, name: str) -> Any:
        """A fact as the columns read it."""
        self.heard.add(name)
        value = self.facts[name].value
        return np.float64(math.nan) if value is None else np.float64(value) if isinstance(value, float) else value


_READ: dict[tuple[str, str], frozenset[str]] = {}


def facts_read(role: Role, facts: Mapping[str, Fact], id_: str) -> frozenset[str]:
    """The facts that a requirement reads, the same on every board: a formula never branches on a value.

    Found with columns of a part of which nothing is known, where a formula on the rows of a table runs too.
    """
    if (role.name, id_) not in _READ:
        heard = _Heard(facts)
        requirement = role.requirements[id_]
        with np.errstate(all="ignore"):
            columns = columns_of(role.kind, [Part(role.kind, "", "", {})]) if role.kind else {}
            p, n = views(role, lambda name: columns.get(name, math.nan), heard.number)
            pairs(requirement, p, n)
        _READ[role.name, id_] = frozenset(heard.heard | set(requirement.asks))
    return _READ[role.name, id_]


def compared(role: Role, facts: Mapping[str, Any]) -> int:
    """How many pairs of demand and capability the one requirement of a role compares in a place with these facts."""
    (requirement,) = role.requirements.values()
    columns = columns_of(role.kind, [Part(role.kind, "", "", {})])

    def number(name: str) -> Any:
        value = facts[name]
        return np.float64(math.nan) if value is None else np.float64(value) if isinstance(value, float) else value

    with np.errstate(all="ignore"):
        return len(pairs(requirement, *views(role, columns.__getitem__, number)))
