"""Run the migrations on the connection that partcheck hands over.

Everything runs in the one transaction that the connection is already in, so that an upgrade is whole or not
there. ``partcheck/catalog/migrate.py`` is the caller; there is no address of a database in any file.
"""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, render_as_batch=True, transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
