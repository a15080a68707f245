"""What is particular to SQLite: the settings of a connection, the index of words, the copy of a running database.

Everything else in the store is portable SQL. `synchronous=FULL` in WAL mode: what was committed survives a power cut.
"""

import sqlite3
import struct
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    Integer,
    Select,
    Text,
    bindparam,
    column,
    create_engine,
    event,
    select,
    table,
    text,
)
from sqlalchemy.exc import DBAPIError

from intake.edges.store.engines.word_queries import QuerySigns, Shapes, Words, has_shape, word_query

BUSY_TIMEOUT_MS = 30_000
"""How long SQLite itself waits for a lock: of a program that takes no turns, or where files cannot be locked."""
WORD_AFTER_MS = 1000
"""After how long a person who waits for a program that takes no turns is told."""
WIDE_CACHE_KIB = 65_536
LONG_LOG_PAGES = 16_384
WAL_INDEX_VERSION = 3_007_000

WORD_TABLE = "edition_words"

# The index keeps no text of its own (content='edition'); the triggers give it the values that were there before. The
# column holds words that are folded already, with a space between: to SQLite every character beyond ASCII is a letter.
CREATE_WORD_INDEX = (
    """CREATE VIRTUAL TABLE edition_words USING fts5(words, content='edition', content_rowid='id', tokenize='ascii',
       detail='none', prefix='2 3')""",
    """CREATE TRIGGER edition_words_made AFTER INSERT ON edition BEGIN
       INSERT INTO edition_words(rowid, words) VALUES (new.id, new.words); END""",
    """CREATE TRIGGER edition_words_gone AFTER DELETE ON edition BEGIN
       INSERT INTO edition_words(edition_words, rowid, words) VALUES ('delete', old.id, old.words); END""",
    """CREATE TRIGGER edition_words_altered AFTER UPDATE OF words ON edition WHEN old.words <> new.words BEGIN
       INSERT INTO edition_words(edition_words, rowid, words) VALUES ('delete', old.id, old.words);
       INSERT INTO edition_words(rowid, words) VALUES (new.id, new.words); END""",
    "CREATE VIRTUAL TABLE edition_words_list USING fts5vocab('edition_words', 'row')",
)


def engine_for(file: Path, *, read_only: bool = False) -> Engine:
    """Return an engine for a database file; nothing is opened yet."""
    url = URL.create("sqlite", database=str(file))
    if read_only:
        query = {"mode": "ro", "uri": "true"}
        if not has_log(file):  # a reader would leave an empty log beside it, or could not where it may not write
            query["immutable"] = "1"
        url = URL.create("sqlite", database=file.resolve().as_uri(), query=query)
    engine = create_engine(url)

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # the module's own transactions begin too late; ours are begun below
        for setting in (f"busy_timeout={BUSY_TIMEOUT_MS}", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {setting}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        if options.get("writes", False):
            _begin_writing(connection, options.get("on_wait"))
        else:
            connection.exec_driver_sql("BEGIN")

    return engine


def _begin_writing(connection: Connection, on_wait: Callable[[], None] | None) -> None:
    """Begin a transaction that writes; where another program has the lock, say so before the long waiting."""
    if on_wait is not None:
        _set_patience(connection, min(WORD_AFTER_MS, BUSY_TIMEOUT_MS))
        try:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
        except DBAPIError as error:
            if getattr(error.orig, "sqlite_errorcode", 0) & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            on_wait()
        else:
            return
        finally:
            _set_patience(connection, BUSY_TIMEOUT_MS)
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _set_patience(connection: Connection, ms: int) -> None:
    driver = connection.connection.driver_connection
    if isinstance(driver, sqlite3.Connection):
        driver.execute(f"PRAGMA busy_timeout={ms}")


def prepare_for_many(connection: Connection) -> None:
    """Give a connection room for the pages that a thousand records touch all over a large library.

    SQLite's own cache of 2 MB is written to the log several times before a transaction ends, and the log of 4 MB to the
    database after nearly every one; so a third of what is read is left, and three quarters of what is written.
    """
    if connection.dialect.name != "sqlite":
        return
    connection.exec_driver_sql(f"PRAGMA cache_size=-{WIDE_CACHE_KIB}")
    connection.exec_driver_sql(f"PRAGMA wal_autocheckpoint={LONG_LOG_PAGES}")


@contextmanager
def undecoded(connection: Connection) -> Iterator[None]:
    """Read any text inside the block: stray bytes, which are not UTF-8, come as lone surrogates and not as an error."""
    driver = connection.connection.driver_connection
    if not isinstance(driver, sqlite3.Connection):
        yield
        return
    usual = driver.text_factory
    driver.text_factory = _decode
    try:
        yield
    finally:
        driver.text_factory = usual


def _decode(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def use_wal(file: Path) -> None:
    """Set a database to write-ahead logging for good, so that reading goes on while one station writes."""
    connection = sqlite3.connect(file, timeout=BUSY_TIMEOUT_MS / 1000)
    try:
        connection.execute("PRAGMA journal_mode=WAL")
    finally:
        connection.close()


def has_log(file: Path) -> bool:
    """Return whether the log of a database lies beside it: it is in use, or was not closed by its last user."""
    return file.with_name(f"{file.name}-wal").exists()


def was_merged(notes: Path) -> bool:
    """Return whether the whole log had been merged into the database, by the index of it that SQLite left.

    An index stays behind without its log where its own deletion failed when the last user closed the database. In the
    byte order of the machine, the highest frame of the log is at 16, how many were merged at 96
    (https://www.sqlite.org/walformat.html, 2.1).
    """
    with notes.open("rb") as file:
        header = file.read(100)
    if len(header) < 100 or struct.unpack_from("=I", header, 0)[0] != WAL_INDEX_VERSION:
        return False
    highest, merged = struct.unpack_from("=I", header, 16)[0], struct.unpack_from("=I", header, 96)[0]
    return bool(merged >= highest)


def copy_database(source: Path, target: Path) -> None:
    """Copy a database that may be in use, as it stands at one moment.

    All pages in one step: in several, a busy writer makes the copy begin anew for ever. The source stays as it is: with
    its log beside it, closing a connection that may write would merge the two, and without, one that may only read
    would leave an empty log.
    """
    mode = "ro" if has_log(source) else "rw"
    origin = sqlite3.connect(f"{source.resolve().as_uri()}?mode={mode}", uri=True, timeout=BUSY_TIMEOUT_MS / 1000)
    try:
        target.touch(0o600)
        copied = sqlite3.connect(target)
        try:
            origin.backup(copied, pages=-1)
        finally:
            copied.close()
    finally:
        origin.close()


SIGNS = QuerySigns(quoted='"{}"'.format, all_of=" AND ", any_of=" OR ", beginning="*")
"""Of FTS5; a word that is folded has no quotation mark."""


def editions_with_words(words: Words, limit: int, *, beginning: bool = True) -> Select[tuple[int]] | None:
    """Select the ids of editions that have all these words, each in any of its forms, in no particular order.

    None where there is no word.

    The index could rank them, but looks at every row that has a word to do so: a third of a second for "the" among a
    million.

    >>> word_query([["o"], ["garten", "gaerten"]], SIGNS)
    '(("o")) AND (("garten"*) OR ("gaerten"*))'
    """
    query = word_query(words, SIGNS, beginning=beginning)
    if not query:
        return None
    matches = text("SELECT rowid FROM edition_words WHERE edition_words MATCH :query LIMIT :limit")
    subquery = matches.bindparams(bindparam("query", query, unique=True), bindparam("limit", limit, unique=True))
    return select(subquery.columns(rowid=Integer).subquery().c.rowid)


def words_between(shapes: Shapes) -> Select[str]:
    """Select words of the index by their shape."""
    term = column("term", Text)
    return select(term).select_from(table("edition_words_list", term)).where(has_shape(term, shapes))
