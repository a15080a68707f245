"""Whether the tables, indexes and triggers of a library on a server are those of this program, and agree.

The server itself keeps references and types whole; what is looked at is what somebody could have switched off.
"""

from collections.abc import Iterator

from sqlalchemy import Connection, text

from intake.edges.store.engines.guarded import guarded
from intake.edges.store.engines.server_schema import FUNCTIONS, OWN_TABLES, TRIGGERS, WORD_INDEX
from intake.edges.store.tables import metadata
from intake.model.findings import FindingKind, LibraryFinding

VERSION_TABLE = "alembic_version"
MOST_NAMED = 20

_HERE = "relnamespace = current_schema()::regnamespace"
_COLUMNS = text(f"""
    SELECT c.relname, a.attname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
    WHERE c.{_HERE} AND c.relkind = 'r' AND a.attnum > 0 AND NOT a.attisdropped""")  # noqa: S608 - own names
_INDEXES = text(f"""
    SELECT c.relname, i.indisvalid FROM pg_class c JOIN pg_index i ON i.indexrelid = c.oid WHERE c.{_HERE}""")  # noqa: S608 - as above
_TRIGGERS = text(f"""
    SELECT t.tgname, t.tgenabled FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
    WHERE c.{_HERE} AND (NOT t.tgisinternal OR t.tgenabled = 'D')""")  # noqa: S608 - as above
_REFERENCES = text(f"""
    SELECT r.conname, r.convalidated FROM pg_constraint r JOIN pg_class c ON c.oid = r.conrelid
    WHERE c.{_HERE} AND r.contype = 'f'""")  # noqa: S608 - as above
_FUNCTIONS = text("SELECT proname FROM pg_proc WHERE pronamespace = current_schema()::regnamespace")
_WORDS = text(f"""
    SELECT coalesce(told.word, counted.word) AS word
    FROM (SELECT word, count(*) AS editions FROM edition, unnest(string_to_array(words, ' ')) AS word
          WHERE word <> '' GROUP BY word) AS counted
    FULL JOIN edition_word AS told ON told.word = counted.word
    WHERE told.editions IS DISTINCT FROM counted.editions ORDER BY 1 LIMIT {MOST_NAMED}""")  # noqa: S608 - as above


def check_server(connection: Connection) -> Iterator[LibraryFinding]:
    """Yield everything that is wrong with the database itself."""
    yield from guarded(lambda: _schema(connection))
    yield from guarded(lambda: _words(connection))


def _schema(connection: Connection) -> Iterator[LibraryFinding]:
    there: dict[str, set[str]] = {}
    for table, column in connection.execute(_COLUMNS):
        there.setdefault(table, set()).add(column)
    for table in metadata.sorted_tables:
        columns = there.pop(table.name, set())
        if not columns:
            yield _altered(table.name, "the table is missing")
            continue
        for name in sorted(columns ^ set(table.columns.keys())):
            what = "is not of this program" if name in columns else "is missing"
            yield _altered(f"{table.name}.{name}", f"the column {what}")
    for name in sorted({*OWN_TABLES, VERSION_TABLE} - there.keys()):
        yield _altered(name, "the table is missing")
    for name in sorted(there.keys() - {*OWN_TABLES, VERSION_TABLE}):
        yield _altered(name, "the table is not of this program")
    yield from _parts(connection)


def _parts(connection: Connection) -> Iterator[LibraryFinding]:
    indexes = {str(index.name) for table in metadata.sorted_tables for index in table.indexes} | {WORD_INDEX}
    valid = {name for name, is_valid in connection.execute(_INDEXES) if is_valid}
    for name in sorted(indexes - valid):
        yield _altered(name, "the index is missing")
    triggers: dict[str, str] = dict(tuple(row) for row in connection.execute(_TRIGGERS))
    for name in sorted({*TRIGGERS, *triggers}):
        if triggers.get(name, "D") == "D":
            yield _altered(name, "the trigger is missing or switched off")
        elif name not in TRIGGERS:
            yield _altered(name, "the trigger is not of this program")
    for name in sorted({*FUNCTIONS} - set(connection.scalars(_FUNCTIONS))):
        yield _altered(name, "the function is missing")
    references = dict(tuple(row) for row in connection.execute(_REFERENCES))
    expected = {
        f"fk_{t.name}_{column.name}" for t in metadata.sorted_tables for column in t.columns if column.foreign_keys
    }
    for name in sorted(expected):
        if not references.get(name, False):
            yield _altered(name, "the reference is missing")


def _words(connection: Connection) -> Iterator[LibraryFinding]:
    wrong = connection.scalars(_WORDS).all()
    if wrong:
        detail = f"it counts these words otherwise than the records have them: {', '.join(wrong)}"
        yield LibraryFinding(FindingKind.WORD_INDEX_WRONG, key="edition_word", detail=detail)


def _altered(name: str, what: str) -> LibraryFinding:
    return LibraryFinding(FindingKind.SCHEMA_ALTERED, key=name, detail=what)
