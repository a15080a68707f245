"""Many rows at once, by the way that each database has for it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, FromClause, Table, TableClause, insert

FEW = 20
"""Rows for which the driver's own way is not worth its beginning and its end."""


def insert_rows(connection: Connection, table: Table | TableClause, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows with all columns of a table: by one prepared statement, or by the server's COPY where they are many.

    On a server each statement calls the triggers that count words, so that hundreds of rows should be one.
    """
    if len(rows) <= FEW:
        if rows:
            connection.execute(insert(table), rows)
        return
    dialect = connection.dialect
    written = [(column.name, column.type.dialect_impl(dialect).bind_processor(dialect)) for column in table.c]
    cells = ([row[name] if write is None else write(row[name]) for name, write in written] for row in rows)
    if dialect.name == "sqlite":  # by the driver: naming the parameters of each row costs as much as inserting it
        statement = insert(table).compile(dialect=dialect, column_keys=[name for name, _ in written])
        connection.exec_driver_sql(str(statement), [tuple(row) for row in cells])
    else:
        _copy(connection, table, cells)


def _copy(connection: Connection, table: FromClause, rows: Iterable[Sequence[Any]]) -> None:
    names = ", ".join(f'"{column.name}"' for column in table.c)
    driver: Any = connection.connection.driver_connection
    with driver.cursor() as cursor, cursor.copy(f'COPY "{table.description}" ({names}) FROM STDIN') as copy:
        for row in rows:
            copy.write_row(row)
