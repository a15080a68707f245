"""Many rows at once, by the way that each database has for it."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, FromClause, Table, TableClause, insert

FEW = 20
"""Rows for which COPY is not worth its beginning and its end."""


def insert_rows(connection: Connection, table: Table | TableClause, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows with all columns of a table: by one prepared statement, or by the server's COPY where they are many.

    On a server each statement calls the triggers that count words, so that hundreds of rows should be one.
    """
    if rows and (connection.dialect.name == "sqlite" or len(rows) <= FEW):
        connection.execute(insert(table), rows)
    elif rows:
        _copy(connection, table, rows)


def _copy(connection: Connection, table: FromClause, rows: Sequence[Mapping[str, Any]]) -> None:
    dialect = connection.dialect
    written = [(column.name, column.type.dialect_impl(dialect).bind_processor(dialect)) for column in table.c]
    names = ", ".join(f'"{name}"' for name, _ in written)
    driver: Any = connection.connection.driver_connection
    with driver.cursor() as cursor, cursor.copy(f'COPY "{table.description}" ({names}) FROM STDIN') as copy:
        for row in rows:
            copy.write_row([row[name] if write is None else write(row[name]) for name, write in written])
