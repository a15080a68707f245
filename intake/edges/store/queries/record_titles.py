"""What a person knows a record by: the title of its book, or the name of its picture, of damaged libraries too."""

import json
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from sqlalchemy import Connection, Text, cast, column, select
from sqlalchemy import table as bare_table
from sqlalchemy.exc import DBAPIError

from intake.edges.store.engines.sqlite import undecoded
from intake.edges.store.queries.replay import CHANGES
from intake.edges.store.row_forms import UNREADABLE
from intake.edges.store.rows import FIELDS, KINDS, key_name
from intake.edges.store.tables import REFERENCES

_STEPS = 3
"""From a valuation to its copy, and to the edition of that."""
_LONGEST = 60


def title_of(connection: Connection, table: str, key: str) -> str:
    """Return the title of the book that a record is about; "" where none can be read.

    What the ledger tells goes before what stands in the tables.

    Args:
        connection: to the library.
        table: the kind of record.
        key: of the record, as text.
    """
    with suppress(DBAPIError, *UNREADABLE), undecoded(connection):
        for _ in range(_STEPS):
            plain = _told(connection, table, key) or _stored(connection, table, key)
            title = plain.get("title") or (plain.get("name") if table == "picture" else None)
            if title:
                text = " ".join(str(title).split())
                return (text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…") if text.isprintable() else ""
            above = _book_of(table, plain)
            if above is None:
                break
            table, key = above
    return ""


def _book_of(table: str, plain: Mapping[str, Any]) -> tuple[str, str] | None:
    """Return the copy or the edition to which a record refers."""
    for field in FIELDS[KINDS[table]]:
        target = REFERENCES.get(f"{table}.{field.name}", "").partition(".")[0]
        if target in ("copy", "edition") and plain.get(field.name) is not None:
            return target, str(plain[field.name])
    return None


def _told(connection: Connection, table: str, key: str) -> dict[str, Any]:
    changes = CHANGES.c
    latest = select(changes.before, changes.after).where(changes.record_table == table, changes.record_key == key)
    row = connection.execute(latest.order_by(changes.seq.desc(), changes.nth.desc()).limit(1)).first()
    if row is None:
        return {}
    with suppress(*UNREADABLE):
        plain = json.loads(row.after or row.before)
        return plain if isinstance(plain, dict) else {}
    return {}


def _stored(connection: Connection, table: str, key: str) -> dict[str, Any]:
    own = key_name(KINDS[table])
    rows = bare_table(table, *(column(field.name) for field in FIELDS[KINDS[table]]))
    row = connection.execute(select(*rows.c).where(cast(rows.c[own], Text) == key).limit(1)).first()
    return {} if row is None else dict(row._mapping)
