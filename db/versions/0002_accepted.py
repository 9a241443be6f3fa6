"""Accepted substitutions: what was decided, and everything that the result rested on."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

TEXTS = (
    "board", "revision", "reference", "role", "kind", "fitted", "part_number", "maker", "policy", "verdict",
    "version", "accepted_by", "accepted_at", "note", "basis", "result",
)  # fmt: skip


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "accepted",
        sa.Column("id", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in TEXTS),
        sa.PrimaryKeyConstraint("id", name="pk_accepted"),
    )
    op.create_index("ix_accepted_kind_part_number_maker", "accepted", ["kind", "part_number", "maker"])


def downgrade() -> None:
    """Drop it, and with it what was written down."""
    op.drop_index("ix_accepted_kind_part_number_maker", table_name="accepted")
    op.drop_table("accepted")
