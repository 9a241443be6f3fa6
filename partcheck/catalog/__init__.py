"""The catalog of parts in a database; the one package that knows SQLAlchemy and Alembic.

::

    place.py      where a catalog is: a path, an address, the user's own
    opening.py    what is found there, and the sentence for what is no catalog
    migrate.py    making the tables and bringing them up to date (``db/`` has the steps)
    faults.py     what a database says when it cannot, as a sentence
    tables.py     the tables, made from the declarations
    rows.py       rows as parts and parts as rows
    writing.py    taking parts in, with the history of what changed
    comparing.py  what taking them in would change
    accepted.py   accepted substitutions, written down
    store.py      open_catalog(), Catalog
"""

from partcheck.catalog.accepted import Accepted
from partcheck.catalog.comparing import Compared
from partcheck.catalog.store import Catalog, open_catalog, upgrade
from partcheck.catalog.writing import Change, Outcome

__all__ = ["Accepted", "Catalog", "Change", "Compared", "Outcome", "open_catalog", "upgrade"]
