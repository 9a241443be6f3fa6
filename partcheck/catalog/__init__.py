"""The catalog of parts in a database; the one package that knows SQLAlchemy and Alembic.

::

    place.py      where a catalog is: a path, an address, the user's own
    opening.py    what is found there, and the sentence for what is no catalog
    migrate.py    making the tables and bringing them up to date (``db/`` has the steps)
    faults.py     what a database says when it cannot, as a sentence
    tables.py     the tables, made from the declarations
    rows.py       rows as parts and parts as rows
    finding.py    searching by conditions
    writing.py    taking parts in, with the history of what changed
    filling.py    taking very many parts in, some thousand at a time
    comparing.py  what taking them in would change
    past.py       what the history tells of a part
    undoing.py    taking the last change back
    accepted.py   accepted substitutions, written down
    verifying.py  whether all that is in it is sound
    copies.py     a copy of all of it in a file
    restoring.py  the way back from a copy
    bulk.py       all parts of a kind read at once; snapshot.py: such a reading kept beside a large catalog
    parquet.py    parts as a Parquet data set: written by an export, read as columns
    store.py      open_catalog(), Catalog
"""

from partcheck.catalog.accepted import Accepted
from partcheck.catalog.comparing import PartComparison
from partcheck.catalog.past import HistoryEntry, Use
from partcheck.catalog.store import Catalog, look_through, open_catalog, restore, upgrade
from partcheck.catalog.undoing import LastChange, Reverted
from partcheck.catalog.writing import ValueChange, WriteOutcome

__all__ = [
    "Accepted",
    "Catalog",
    "HistoryEntry",
    "LastChange",
    "PartComparison",
    "Reverted",
    "Use",
    "ValueChange",
    "WriteOutcome",
    "look_through",
    "open_catalog",
    "restore",
    "upgrade",
]
