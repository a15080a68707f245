"""What an earlier library's ledger told of merges and of lists, in a library that was made from its records."""

from intake.edges.store.migrations.building import create, integer, text, texts

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Create the tables, empty: what came into this library before, its own ledger tells."""
    create(
        "earliermerge",
        ("id",),
        *(integer(name) for name in ("id", "edition", "into")),
        *texts("key"),
        *texts("number", "add_on", optional=True),
        *texts("title", "volume"),
    )
    create(
        "earlierlisting",
        ("id",),
        integer("id"),
        *texts("step", "file", "record_table", "record_key"),
        text("before", optional=True),
        text("after"),
        indexed=("file", "record_key"),
    )
