"""What else a doubtful reading may be waits on the query pile with it."""

from alembic import op

from intake.edges.store.migrations.building import text

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the column."""
    op.add_column("query", text("others", optional=True))
