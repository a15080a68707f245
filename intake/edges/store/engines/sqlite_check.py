"""What SQLite itself says of a database, and whether its tables and its index of words are those of this program.

Nothing is written: the index is checked in a copy without a name, for FTS5 takes the order to check itself as an
INSERT, which would keep every station from writing.
"""

import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from functools import partial

from sqlalchemy import Connection, text

from intake.edges.store.engines.faults import fault_words
from intake.edges.store.engines.guarded import guarded
from intake.edges.store.engines.sqlite import CREATE_WORD_INDEX, WORD_TABLE, undecoded
from intake.edges.store.queries.place_circles import circle_words, first_circle
from intake.edges.store.rows import KINDS, key_name
from intake.edges.store.tables import metadata
from intake.model.findings import FindingKind, LibraryFinding

MOST_REPORTED = 100
FTS5_VERSION = 4
FIRST_PAGE = 2
"""Of a segment, as its index writes it: the number of the page, doubled."""
VERSION_TABLE = "alembic_version"
_OWN_WORD_TABLES = tuple(f"{WORD_TABLE}{name}" for name in ("", "_list", "_data", "_idx", "_docsize", "_config"))
_SHADOWS = ("data", "idx", "docsize", "config")


def check_integrity(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield what PRAGMA integrity_check reports."""
    with undecoded(connection):
        for line in connection.exec_driver_sql(f"PRAGMA integrity_check({MOST_REPORTED})").scalars():
            if line != "ok":
                yield LibraryFinding(FindingKind.DATABASE_DAMAGED, detail=str(line))


def check_references(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield what PRAGMA foreign_key_check reports, with the record's key."""
    with undecoded(connection):
        for table, row_id, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check").all():
            key = str(row_id)
            if table in KINDS and row_id is not None:
                name = key_name(KINDS[table])
                found = connection.execute(text(f'SELECT "{name}" FROM "{table}" WHERE rowid = :id'), {"id": row_id})  # noqa: S608 - own names
                key = str(found.scalar())
            yield LibraryFinding(FindingKind.REFERENCE_BROKEN, str(table), key, detail=f"of {parent}")


def check_places(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield the first circle of places that are inside each other."""
    if circle := first_circle(connection):
        yield LibraryFinding(FindingKind.PLACE_INSIDE_ITSELF, "place", circle[0], detail=circle_words(circle))


def check_schema(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield what is missing among the tables, columns, indexes and triggers, and what the program did not make."""
    with undecoded(connection):
        stored = {
            (kind, name): sql
            for kind, name, sql in connection.exec_driver_sql("SELECT type, name, sql FROM sqlite_master").all()
            if not str(name).startswith("sqlite_")
        }
        expected = _expected()
        for kind, name in sorted(expected.keys() - stored.keys()):
            yield LibraryFinding(FindingKind.SCHEMA_ALTERED, key=name, detail=f"the {kind} is missing")
        for kind, name in sorted(stored.keys() - expected.keys(), key=str):
            yield LibraryFinding(FindingKind.SCHEMA_ALTERED, key=str(name), detail=f"the {kind} is not of this program")
        for key, sql in expected.items():
            if sql and key in stored and _plain(str(stored[key])) != _plain(sql):
                yield LibraryFinding(FindingKind.SCHEMA_ALTERED, key=key[1], detail=f"the {key[0]} was altered")
        for table in metadata.sorted_tables:
            columns = {row[1] for row in connection.exec_driver_sql(f'PRAGMA table_info("{table.name}")').all()}
            for name in sorted(columns ^ set(table.columns.keys())) if columns else ():
                what = "is not of this program" if name in columns else "is missing"
                yield LibraryFinding(
                    FindingKind.SCHEMA_ALTERED, key=f"{table.name}.{name}", detail=f"the column {what}"
                )


def _expected() -> dict[tuple[str, str], str]:
    """Return every thing that a library's database has, by kind and name, with the statement that makes it if fixed."""
    things = {("table", name): "" for name in (*metadata.tables, VERSION_TABLE, *_OWN_WORD_TABLES)}
    things |= {
        ("index", str(index.name)): "" for table in metadata.sorted_tables for index in table.indexes if index.name
    }
    for statement in CREATE_WORD_INDEX:
        words = statement.split()
        kind, name = ("trigger", words[2]) if words[1] == "TRIGGER" else ("table", words[3])
        things[kind, name] = statement
    return things


def _plain(sql: str) -> str:
    return " ".join(sql.split())


def check_word_index(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield whether the index of words, and the words of the records, are of each other."""
    driver = connection.connection.driver_connection
    if not isinstance(driver, sqlite3.Connection):
        return
    with undecoded(connection), closing(sqlite3.connect("", isolation_level=None)) as copy:
        copy.execute("PRAGMA journal_mode=OFF")
        copy.execute("CREATE TABLE edition (id INTEGER PRIMARY KEY, words)")
        copy.execute(CREATE_WORD_INDEX[0])
        copy.execute("BEGIN")
        try:
            copy.executemany("INSERT INTO edition VALUES (?, ?)", driver.execute("SELECT id, words FROM edition"))
            for shadow in _SHADOWS:
                _copy_rows(driver, copy, f"{WORD_TABLE}_{shadow}")
            copy.execute("COMMIT")
            yield from _check_shadows(copy)
            copy.execute(f"INSERT INTO {WORD_TABLE}({WORD_TABLE}, rank) VALUES ('integrity-check', 1)")  # noqa: S608 - own names
        except (sqlite3.DatabaseError, UnicodeEncodeError) as error:
            yield LibraryFinding(FindingKind.WORD_INDEX_WRONG, key=WORD_TABLE, detail=fault_words(error))


def _check_shadows(copy: sqlite3.Connection) -> Iterator[LibraryFinding]:
    """Yield what the order to check itself passes over: the settings, and rows of the index of segments.

    The identifier of a row of `data` has the segment above its lowest 37 bits (https://www.sqlite.org/fts5.html, and
    the comments of fts5_index.c).
    """
    settings = copy.execute(f"SELECT k, v FROM {WORD_TABLE}_config").fetchall()  # noqa: S608 - own names
    if settings != [("version", FTS5_VERSION)]:
        yield LibraryFinding(
            FindingKind.WORD_INDEX_WRONG, key=f"{WORD_TABLE}_config", detail=f"its settings are {settings!r}"
        )
    rows = copy.execute(f"SELECT segid, term, pgno FROM {WORD_TABLE}_idx").fetchall()  # noqa: S608 - own names
    segments = copy.execute(f"SELECT DISTINCT id >> 37 FROM {WORD_TABLE}_data WHERE id > 10").fetchall()  # noqa: S608 - own names
    first = Counter(segment for segment, term, _ in rows if term == b"")  # the first page of each has no term
    pages_are_numbers = all(isinstance(page, int) and page >= FIRST_PAGE for _, _, page in rows)
    known = all(isinstance(term, bytes) and segment in first for segment, term, _ in rows)
    if first != Counter(segment for (segment,) in segments) or not (known and pages_are_numbers):
        detail = "its rows are not those of its segments"
        yield LibraryFinding(FindingKind.WORD_INDEX_WRONG, key=f"{WORD_TABLE}_idx", detail=detail)


def _copy_rows(source: sqlite3.Connection, target: sqlite3.Connection, table: str) -> None:
    rows = source.execute(f"SELECT * FROM {table}")  # noqa: S608 - own names
    marks = ", ".join("?" for _ in rows.description)
    target.execute(f"DELETE FROM {table}")  # noqa: S608 - as above
    target.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)  # noqa: S608 - as above


CHECKS = (check_integrity, check_schema, check_references, check_places, check_word_index)


def check_database(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield everything that is wrong with the database itself."""
    for check in CHECKS:
        yield from guarded(partial(check, connection))
