"""One folded column of words for editions and for sets, the same for every database, and an index of it.

The index before it folded in SQLite's own way: without "ł" and "ß", and without the vowel signs of Indic scripts.
`title_key` is written anew, for it had lost those signs too.
"""

import json
from collections.abc import Callable

import sqlalchemy as sa
from alembic import op

from intake.edges.store.derived import edition_words
from intake.edges.store.engines.sqlite import CREATE_WORD_INDEX
from intake.model.editions import title_key
from intake.model.folding import search_words

revision = "0004"
down_revision = "0003"

LOT = 1000


def upgrade() -> None:
    """Add the columns, fill them, and make the index anew."""
    is_sqlite = op.get_context().dialect.name == "sqlite"
    if is_sqlite:
        for name in ("made", "gone", "altered"):
            op.execute(f"DROP TRIGGER IF EXISTS edition_words_{name}")
        op.execute("DROP TABLE IF EXISTS edition_words")
    for table in ("book_set", "edition"):
        op.add_column(table, sa.Column("words", sa.Text(), nullable=False, server_default=sa.text("''")))
    _fill("book_set", ("title",), lambda title: {"words": search_words([title])})
    _fill("edition", ("title", "contributors", "volume"), _of_edition)
    if is_sqlite:
        for statement in CREATE_WORD_INDEX:
            op.execute(statement)
        op.execute("INSERT INTO edition_words(edition_words) VALUES ('rebuild')")


def _of_edition(title: str, contributors: str, volume: str) -> dict[str, str]:
    return {"title_key": title_key(title), "words": edition_words(title, json.loads(contributors), volume)}


def _fill(name: str, read: tuple[str, ...], made: Callable[..., dict[str, str]]) -> None:
    """Fill columns of a table, so many rows at a time, with what is made of others."""
    connection = op.get_bind()
    columns = ("id", "title_key", "words", *read)
    table = sa.table(name, *(sa.column(column) for column in columns))
    rows = sa.select(table.c.id, *(table.c[column] for column in read)).order_by(table.c.id).limit(LOT)
    lot = connection.execute(rows).all()
    while lot:
        values = [{"own": own, **made(*texts)} for own, *texts in lot]
        named: dict[str, sa.BindParameter[str]] = {
            column: sa.bindparam(column) for column in values[0] if column != "own"
        }
        connection.execute(sa.update(table).where(table.c.id == sa.bindparam("own")).values(named), values)
        lot = connection.execute(rows.where(table.c.id > lot[-1][0])).all()
