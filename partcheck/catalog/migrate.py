"""Making the tables of a catalog, and bringing an older one up to date. The one place that loads Alembic."""

from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from partcheck.catalog.opening import for_writing
from partcheck.errors import CatalogError
from partcheck.shipped import folder


def migrate(engine: sa.Engine, shown: str, version: str = "head") -> None:
    """Take all steps to a version, up or down, in one transaction: all of them or none."""
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
        with for_writing(engine).connect() as connection, _loose_references(connection):
            config.attributes["connection"] = connection
            with connection.begin():
                if version == "head" or _version(connection) < version:
                    command.upgrade(config, version)
                else:
                    command.downgrade(config, version)
    except CommandError as slip:
        raise CatalogError(f"{shown} has a version that cannot be brought up to date; restore it from a copy") from slip


def _version(connection: sa.Connection) -> str:
    return str(connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one())


@contextmanager
def _loose_references(connection: sa.Connection) -> Iterator[None]:
    """SQLite changes a table by making it anew; dropping the old one must not count as dropping its rows.

    The switch has no effect within a transaction, so it is set on the bare connection before one begins.
    """
    bare = connection.connection.driver_connection
    if connection.dialect.name != "sqlite" or bare is None:
        yield
        return
    bare.execute("PRAGMA foreign_keys = OFF")
    try:
        yield
    finally:
        bare.execute("PRAGMA foreign_keys = ON")
