"""Each command that changed parts, as one change that can be taken back; whose history a former value is."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

KINDS = ("mosfet", "bjt", "led", "diode", "regulator", "terminal")


def upgrade() -> None:
    """Make the table of changes, and name the part and the change in every row of the history."""
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("note", sa.Text()),
        sa.Column("undoes", sa.Integer()),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_changes"),
    )
    op.add_column("history", sa.Column("change_id", sa.Integer()))
    op.add_column("history", sa.Column("part_number", sa.Text()))
    op.add_column("history", sa.Column("maker", sa.Text()))
    op.create_index("ix_history_kind_part_number", "history", ["kind", "part_number"])
    op.create_index("ix_history_change_id", "history", ["change_id"])
    history = sa.table("history", *(sa.column(name) for name in ("kind", "part_id", "part_number", "maker")))
    for kind in KINDS:
        part = sa.table(kind, *(sa.column(name) for name in ("id", "part_number", "maker")))
        mine = part.c.id == history.c.part_id
        op.execute(
            sa.update(history)
            .where(history.c.kind == kind)
            .values(
                part_number=sa.select(part.c.part_number).where(mine).scalar_subquery(),
                maker=sa.select(part.c.maker).where(mine).scalar_subquery(),
            )
        )


def downgrade() -> None:
    """Forget which command changed what; what was entered and every former value stay."""
    op.drop_index("ix_history_change_id", "history")
    op.drop_index("ix_history_kind_part_number", "history")
    for name in ("maker", "part_number", "change_id"):
        op.drop_column("history", name)
    op.drop_table("changes")
