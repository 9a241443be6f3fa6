"""Making the tables of a catalog, and bringing an older one up to date. The one place that loads Alembic."""

import sqlalchemy as sa

from partcheck.catalog.opening import WRITING
from partcheck.errors import CatalogError
from partcheck.shipped import folder


def migrate(engine: sa.Engine, shown: str) -> None:
    """Run all migrations that the database has not seen, in one transaction: all of them or none."""
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    try:
        scripts = folder("db")
    except FileNotFoundError as slip:
        raise CatalogError(f"{shown} cannot be made up to date: {slip}") from slip
    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    try:
        with engine.execution_options(**WRITING).begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
    except CommandError as slip:
        raise CatalogError(
            f"{shown} has a version that cannot be brought up to date; restore it from a copy"
        ) from slip
