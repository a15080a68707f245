"""What is particular to SQLite: the settings of a connection, the index of words, the copy of a running database.

Everything else in the store is portable SQL. `synchronous=FULL` in WAL mode: what was committed survives a power cut.
"""

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, Integer, Select, create_engine, event, select, text

BUSY_TIMEOUT_MS = 5000
WIDE_CACHE_KIB = 65_536
LONG_LOG_PAGES = 16_384

WORD_TABLE = "edition_words"

# The index keeps no text of its own (content='edition'); the triggers give it the values that were there before.
CREATE_WORD_INDEX = (
    """CREATE VIRTUAL TABLE edition_words USING fts5(title, contributors, content='edition', content_rowid='id',
       tokenize='unicode61 remove_diacritics 2', prefix='2 3')""",
    """CREATE TRIGGER edition_words_made AFTER INSERT ON edition BEGIN
       INSERT INTO edition_words(rowid, title, contributors) VALUES (new.id, new.title, new.contributors); END""",
    """CREATE TRIGGER edition_words_gone AFTER DELETE ON edition BEGIN
       INSERT INTO edition_words(edition_words, rowid, title, contributors)
       VALUES ('delete', old.id, old.title, old.contributors); END""",
    """CREATE TRIGGER edition_words_altered AFTER UPDATE OF title, contributors ON edition BEGIN
       INSERT INTO edition_words(edition_words, rowid, title, contributors)
       VALUES ('delete', old.id, old.title, old.contributors);
       INSERT INTO edition_words(rowid, title, contributors) VALUES (new.id, new.title, new.contributors); END""",
)


def engine_for(file: Path, *, read_only: bool = False) -> Engine:
    """Return an engine for a database file; nothing is opened yet."""
    url = URL.create("sqlite", database=str(file))
    if read_only:
        url = URL.create("sqlite", database=file.resolve().as_uri(), query={"mode": "ro", "uri": "true"})
    engine = create_engine(url)

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # the module's own transactions begin too late; ours are begun below
        for setting in (f"busy_timeout={BUSY_TIMEOUT_MS}", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {setting}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def prepare_for_many(connection: Connection) -> None:
    """Give a connection room for the pages that a thousand records touch all over a large library.

    SQLite's own cache of 2 MB is written to the log several times before a transaction ends, and the log of 4 MB to the
    database after nearly every one; so a third of what is read is left, and three quarters of what is written.
    """
    connection.exec_driver_sql(f"PRAGMA cache_size=-{WIDE_CACHE_KIB}")
    connection.exec_driver_sql(f"PRAGMA wal_autocheckpoint={LONG_LOG_PAGES}")


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


def copy_database(source: Path, target: Path) -> None:
    """Copy a database that may be in use, as it stands at one moment.

    All pages in one step: in several, a busy writer makes the copy begin anew for ever. The source stays as it is: with
    its log beside it, closing a connection that may write would merge the two, and without, one that may only read
    would leave an empty log.
    """
    mode = "ro" if has_log(source) else "rw"
    origin = sqlite3.connect(f"{source.resolve().as_uri()}?mode={mode}", uri=True, timeout=BUSY_TIMEOUT_MS / 1000)
    try:
        copied = sqlite3.connect(target)
        try:
            origin.backup(copied, pages=-1)
        finally:
            copied.close()
    finally:
        origin.close()


def is_word_table(name: str | None) -> bool:
    """Return whether a table belongs to the index of words."""
    return name is not None and name.startswith(WORD_TABLE)


def word_query(words: str) -> str:
    r"""Return the query of the index for a text that a person typed; empty where it has no word.

    Every word is quoted, for hyphens, apostrophes and plus signs mean something else to the index. The last one may be
    the beginning of a word.

    >>> word_query("o'brien gard")
    '"o\'brien" "gard"*'
    """
    sayable = words.replace("\0", " ").encode(errors="ignore").decode()
    typed = [word for word in sayable.split() if any(c.isalnum() for c in word)]
    quoted = ['"' + word.replace('"', '""') + '"' for word in typed]
    if quoted and sum(c.isalnum() for c in typed[-1]) >= 2:
        quoted[-1] += "*"
    return " ".join(quoted)


def editions_with_words(words: str, limit: int) -> Select[tuple[int]] | None:
    """Select the ids of editions that have all these words in title and contributors, in no particular order.

    None where the text has no word.

    The index could rank them, but looks at every row that has a word to do so: a third of a second for "the" among a
    million.
    """
    query = word_query(words)
    if not query:
        return None
    matches = text("SELECT rowid FROM edition_words WHERE edition_words MATCH :query LIMIT :limit")
    return select(matches.bindparams(query=query, limit=limit).columns(rowid=Integer).subquery().c.rowid)
