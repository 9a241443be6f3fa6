"""For each requirement of each role: a part that just meets it, one that just fails, one with the value missing.

A module per role gives ``ROLE`` (its name), ``PART`` (a part that meets everything), ``FACTS`` (plain numbers by
fact name; what is left out is not stated; policy facts are filled in by the test) and ``EXAMPLES``.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Example:
    """How one requirement is brought to its edge.

    ``vary`` is a flat column of the part (``vds_max``), a cell of a table ``("rds_on", 0, "max")`` (table, row of
    the example part in the order of its axes, column), or, for a role whose demand is all on the board's side, a
    fact ``"fact:rail_max"``. With ``meets`` there the requirement meets (or is tight), with ``fails`` it fails;
    with ``missing`` (a column, a table name, or ``"fact:…"``) blank it is unproven. ``facts`` and ``values`` and
    ``tables`` change the base for this requirement alone.
    """

    vary: Any
    meets: Any
    fails: Any
    missing: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    values: Mapping[str, Any] = field(default_factory=dict)
    tables: Mapping[str, Any] = field(default_factory=dict)
