"""What migrations make tables of: columns that say whether they may be empty, tables with their keys and indexes."""

from collections.abc import Mapping
from types import MappingProxyType

import sqlalchemy as sa
from alembic import op
from sqlalchemy.schema import SchemaItem

NONE: Mapping[str, str] = MappingProxyType({})


def text(name: str, *, optional: bool = False) -> sa.Column[str]:
    """Return a column of text."""
    return sa.Column(name, sa.Text(), nullable=optional)


def texts(*names: str, optional: bool = False) -> list[sa.Column[str]]:
    """Return columns of text."""
    return [text(name, optional=optional) for name in names]


def integer(name: str, *, optional: bool = False) -> sa.Column[int]:
    """Return a column of whole numbers."""
    return sa.Column(name, sa.Integer(), nullable=optional)


def real(name: str, *, optional: bool = False) -> sa.Column[float]:
    """Return a column of numbers."""
    return sa.Column(name, sa.Float(), nullable=optional)


def truth(name: str, *, optional: bool = False) -> sa.Column[bool]:
    """Return a column of truth values."""
    return sa.Column(name, sa.Boolean(), nullable=optional)


def create(
    table: str,
    key: tuple[str, ...],
    *columns: SchemaItem,
    refers: Mapping[str, str] = NONE,
    indexed: tuple[str, ...] = (),
) -> None:
    """Create a table with its keys, and an index for each reference and each column named."""
    references = (sa.ForeignKeyConstraint([column], [to], name=f"fk_{table}_{column}") for column, to in refers.items())
    op.create_table(table, *columns, sa.PrimaryKeyConstraint(*key, name=f"pk_{table}"), *references)
    for column in (*refers, *indexed):
        op.create_index(f"ix_{table}_{column}", table, [column])
