"""What editions collect of serials and cost, how far a serial goes, and why a copy is kept."""

import sqlalchemy as sa
from alembic import op

from intake.edges.store.migrations.building import create, integer, text, texts

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Add the columns, empty, and the table."""
    for table, names in (("edition", ("collects", "currency", "why")), ("copy", ("why",))):
        for name in names:
            op.add_column(table, sa.Column(name, sa.Text(), nullable=False, server_default=sa.text("''")))
    op.add_column("edition", text("price", optional=True))
    op.add_column("copy", sa.Column("kept", sa.Boolean(), nullable=False, server_default=sa.false()))
    op.create_index("ix_edition_collects", "edition", ["collects"])
    op.create_index("ix_copy_why", "copy", ["why"])
    create("serial", ("id",), integer("id"), *texts("title", "extent"))
