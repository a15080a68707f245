"""Copies that left the collection are withdrawn, with the day, the reason and the amount."""

from intake.edges.store.migrations.building import create, text, texts

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Create the table; nothing that was recorded before is a withdrawal."""
    create(
        "withdrawal",
        ("copy",),
        *texts("copy", "on", "reason", "was"),
        text("amount", optional=True),
        *texts("currency", "note"),
        refers={"copy": "copy.accession"},
    )
