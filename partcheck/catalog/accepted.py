"""Accepted substitutions, written down for good: nothing here changes or deletes one."""

from collections.abc import Mapping
from typing import NamedTuple

import sqlalchemy as sa

from partcheck.catalog.tables import ACCEPTED

DECIDED = tuple(column.name for column in ACCEPTED.columns if column.name != "id")
"""What is stated of an accepted substitution; each is a text."""


class Accepted(NamedTuple):
    """A row of the table: what was decided about which place, and as JSON what it rested on and what it gave."""

    number: int
    board: str
    revision: str
    reference: str
    role: str
    kind: str
    fitted: str
    part_number: str
    maker: str
    policy: str
    verdict: str
    version: str
    accepted_by: str
    accepted_at: str
    note: str
    basis: str
    result: str


def write_accepted(connection: sa.Connection, stated: Mapping[str, str]) -> int:
    """Write one down, within the transaction of the connection; its number."""
    row = {name: stated[name] for name in DECIDED}
    made = connection.execute(sa.insert(ACCEPTED).values(row).returning(ACCEPTED.c.id))
    return int(made.scalar_one())


def read_accepted(connection: sa.Connection, number: int | None = None) -> list[Accepted]:
    """All of them, or the one of that number; the newest first."""
    query = sa.select(ACCEPTED).order_by(ACCEPTED.c.id.desc())
    if number is not None:
        query = query.where(ACCEPTED.c.id == number)
    return [Accepted(*row) for row in connection.execute(query)]
