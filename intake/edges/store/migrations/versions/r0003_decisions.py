"""What a query was decided as is kept beside its words: the copy it was booked as, or the query that shows the same."""

from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the columns; what was decided before keeps its words."""
    for name, kind, to in (("copy", "TEXT", "copy (accession)"), ("same_as", "INTEGER", "query (id)")):
        # Alembic would add the reference in a step of its own, which SQLite has no statement for.
        op.execute(f"ALTER TABLE query ADD COLUMN {name} {kind} CONSTRAINT fk_query_{name} REFERENCES {to}")
        op.create_index(f"ix_query_{name}", "query", [name])
