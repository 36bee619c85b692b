"""The first schema: cases, their versions and plans, what falls due, sealed names."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "about",
        sa.Column("store_id", sa.Text, primary_key=True),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("moved_to", sa.Text),
    )
    _cases()
    _versions()
    _due()
    _names()


def _cases() -> None:
    op.create_table(
        "cases",
        sa.Column("code", sa.Text, primary_key=True),
        sa.Column("latest", sa.Integer, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("as_of", sa.Text, nullable=False),
        sa.Column("saved_at", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("stop", sa.Boolean, nullable=False),
        sa.Column("next_due", sa.Text),
        sa.Column("book", sa.Text, nullable=False),
        sa.Column("sought", sa.Text, nullable=False),
    )
    op.create_index("cases_by_lower_code", "cases", [sa.text("lower(code)")], unique=True)
    for column in ("saved_at", "as_of", "title", "next_due"):
        op.create_index(f"cases_by_{column}", "cases", [column, "code"])


def _versions() -> None:
    op.create_table(
        "versions",
        sa.Column("case_code", sa.Text, sa.ForeignKey("cases.code"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("changes", sa.Text, nullable=False),
        sa.Column("as_of", sa.Text, nullable=False),
        sa.Column("book", sa.Text, nullable=False),
        sa.Column("program", sa.Text, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("plan_hash", sa.Text, nullable=False),
        sa.Column("parent", sa.Text, nullable=False),
        sa.Column("hash", sa.Text, nullable=False),
    )
    op.create_table(
        "plans",
        sa.Column("case_code", sa.Text, primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.ForeignKeyConstraint(["case_code", "number"], ["versions.case_code", "versions.number"]),
    )


def _due() -> None:
    op.create_table(
        "due",
        sa.Column("case_code", sa.Text, sa.ForeignKey("cases.code"), primary_key=True),
        sa.Column("item", sa.Text, primary_key=True),
        sa.Column("side", sa.Text, primary_key=True),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("what", "why", "first", "last")),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("source", "page", "category")),
    )
    op.create_index("due_by_first", "due", ["first"])
    op.create_index("due_by_last", "due", ["last"])


def _names() -> None:
    op.create_table(
        "names",
        sa.Column("case_code", sa.Text, sa.ForeignKey("cases.code"), primary_key=True),
        sa.Column("sealed", sa.Text, nullable=False),
    )
    op.create_table(
        "name_lock",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("salt", sa.Text, nullable=False),
        sa.Column("n", sa.Integer, nullable=False),
        sa.Column("r", sa.Integer, nullable=False),
        sa.Column("p", sa.Integer, nullable=False),
        sa.Column("proof", sa.Text, nullable=False),
    )
