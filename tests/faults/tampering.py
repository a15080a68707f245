"""Every table and column of a library altered by hand, one at a time, with SQL alone; made from the database's schema.

Nothing here names a table or a column, so that one added later is tampered with too.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

DATABASE = "library.sqlite3"
ODD_VALUES = {
    "NULL": "NULL",
    "another text": "'tampered'",
    "a number": "987654321",
    "a blob": "X'00FF80'",
    "text that is not UTF-8": "CAST(X'C328' AS TEXT)",
    "the least number": "-9223372036854775808",
    "broken JSON": "'[[['",
}


@dataclass(frozen=True, slots=True)
class Tampering:
    """One alteration: SQL statements, and what they do in words."""

    name: str
    statements: tuple[str, ...]


def tamperings(database: Path) -> Iterator[Tampering]:
    """Yield alterations of every table that has rows: each column to each odd value, a row lost, a row made."""
    with closing(sqlite3.connect(database)) as connection:
        tables = [
            name
            for name, sql in connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
            if not name.startswith("sqlite_") and "fts5" not in sql
        ]
        for table in tables:
            columns = [row[1] for row in connection.execute(f'PRAGMA table_info("{table}")')]
            rowid = "rowid" if "WITHOUT ROWID" not in _sql(connection, table).upper() else columns[0]
            one = f'SELECT {rowid} FROM "{table}" ORDER BY {rowid} LIMIT 1'
            if connection.execute(one).fetchone() is None:
                continue
            yield Tampering(f"{table}: a row lost", (f'DELETE FROM "{table}" WHERE {rowid} = ({one})',))
            for column in columns:
                for name, value in ODD_VALUES.items():
                    statement = f'UPDATE "{table}" SET "{column}" = {value} WHERE {rowid} = ({one})'
                    yield Tampering(f"{table}.{column}: {name}", (statement,))


def _sql(connection: sqlite3.Connection, table: str) -> str:
    return str(connection.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0])


def schema_tamperings(database: Path) -> Iterator[Tampering]:
    """Yield each index and trigger dropped, each table dropped, and things added that the program did not make."""
    with closing(sqlite3.connect(database)) as connection:
        things = connection.execute(
            "SELECT type, name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' AND name NOT LIKE 'edition_words_%'"
        ).fetchall()
        for kind, name in things:
            yield Tampering(f"{kind} {name} dropped", (f'DROP {kind} "{name}"',))
    yield Tampering("a table added", ("CREATE TABLE tampered (x)",))
    yield Tampering("a view added", ("CREATE VIEW tampered AS SELECT 1",))
    body = "BEGIN UPDATE copy SET note = 'x' WHERE accession = new.accession; END"
    yield Tampering("a trigger added", (f"CREATE TRIGGER tampered AFTER UPDATE ON copy {body}",))


def is_effective(database: Path, tampering: Tampering) -> bool:
    """Tamper; return whether the database took it and holds something else now."""
    with closing(sqlite3.connect(database)) as connection:
        connection.text_factory = bytes
        before = _dump(connection)
        try:
            for statement in tampering.statements:
                connection.execute(statement)
            connection.commit()
        except sqlite3.Error:
            connection.rollback()
            return False
        return _dump(connection) != before


def _dump(connection: sqlite3.Connection) -> list[object]:
    """Return the schema and every row with the types of its cells, as SQLite's own quote() writes them."""
    names = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found: list[object] = connection.execute("SELECT type, name, sql FROM sqlite_master ORDER BY type, name").fetchall()
    for name in names:
        table = name.decode()
        if "words" in table and table.startswith("edition_words") and table in ("edition_words", "edition_words_list"):
            continue
        columns = [row[1].decode() for row in connection.execute(f'PRAGMA table_info("{table}")')]
        quoted = ", ".join(f'quote("{column}"), typeof("{column}")' for column in columns)
        found.append((table, sorted(connection.execute(f'SELECT {quoted} FROM "{table}"').fetchall())))
    return found
