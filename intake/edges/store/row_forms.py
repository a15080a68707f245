"""What a row of a table must hold, computed from the ledger's text of its record; for any kind of record.

Nothing here names a table or a column: what is added to the records later is compared too.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import partial
from typing import Any

from sqlalchemy import TableClause, column
from sqlalchemy import table as bare_table

from intake.edges.store.derived import derived
from intake.edges.store.rows import FIELDS, Field, from_plain, key_name, table_name
from intake.edges.store.tables import TABLES, TextList
from intake.model.changes import Record
from intake.model.findings import CellDifference

Cells = tuple[object, ...]

UNREADABLE = (TypeError, ValueError, ArithmeticError, LookupError, AttributeError, RecursionError)
"""What a value that the program never wrote may raise where it is read."""

_ABSENT = object()


def _list_text(value: object) -> object:
    return TextList().process_bind_param(value, None)  # type: ignore[arg-type] # neither is looked at


def _as_real(value: object) -> object:
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _as_number(value: object) -> object:
    return int(value) if isinstance(value, bool) else value


_STORED: Mapping[type, Callable[[Any], object]] = {tuple: _list_text, float: _as_real, bool: _as_number}


@dataclass(frozen=True, slots=True)
class RowForm:
    """How the rows of one kind of record look in the database.

    Attributes:
        columns: the names of all columns, the key first.
        rows: the table without types, whose cells come as they are stored.
    """

    kind: type[Record]
    columns: tuple[str, ...]
    rows: TableClause
    defaults: Mapping[str, object]

    @classmethod
    def of(cls, kind: type[Record]) -> "RowForm":
        """Return the form of a kind's rows."""
        names = tuple(TABLES[kind].columns.keys())
        rows = bare_table(table_name(kind), *(column(name) for name in names))
        return cls(kind, names, rows, _defaults(kind))

    @property
    def key(self) -> str:
        """Return the name of the key."""
        return key_name(self.kind)

    def cells(self, text: object) -> Cells:
        """Return the cells that the row of a record must have.

        Args:
            text: the record as the ledger has it.

        Raises:
            ValueError: the text is not that of a record of this kind.
        """
        try:
            plain = json.loads(text)  # type: ignore[arg-type] # whatever a cell of the ledger holds
            cells = {field.name: self._cell(field, plain) for field in FIELDS[self.kind]}
            if len(self.columns) > len(cells):
                cells |= derived(from_plain(self.kind, plain))
            return tuple(cells[name] for name in self.columns)
        except UNREADABLE as error:
            raise ValueError(str(error)) from error

    def _cell(self, field: Field, plain: Mapping[str, object]) -> object:
        value = plain.get(field.name, _ABSENT)
        if value is _ABSENT:  # the entry is older than the field
            value = self.defaults[field.name]
        stored = _STORED.get(field.base)
        return value if stored is None or value is None else stored(value)

    def differences(self, expected: Cells, stored: Cells) -> tuple[CellDifference, ...]:
        """Return the cells that differ, in value or in type."""
        return tuple(
            CellDifference(name, should, is_)
            for name, should, is_ in zip(self.columns, expected, stored, strict=True)
            if type(should) is not type(is_) or should != is_
        )


def _defaults(kind: type[Record]) -> dict[str, object]:
    """Return the plain values of the fields that may be absent."""
    found: dict[str, object] = {}
    conversions = {field.name: field.to_plain for field in FIELDS[kind]}
    for field in fields(kind):
        make = field.default_factory if field.default is MISSING else partial(lambda value: value, field.default)
        if make is not MISSING:
            value, convert = make(), conversions[field.name]
            found[field.name] = value if convert is None or value is None else convert(value)
    return found
