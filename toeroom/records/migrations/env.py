"""Run by Alembic: the steps on the connection it was handed, in the transaction that is open there."""

from __future__ import annotations

from alembic import context

from toeroom.records.schema import REVISION_TABLE

context.configure(connection=context.config.attributes["connection"], version_table=REVISION_TABLE)
context.run_migrations()
