"""Records as plain values, and back.

The plain form of a record is what JSON can carry: a mapping from field names to text, numbers, booleans, None and, for
a tuple, a list. One form serves the columns of the tables and the ledger. The first field of a record is its key.

| field              | plain value                                                     |
| ------------------ | --------------------------------------------------------------- |
| tuple of text      | list of text                                                    |
| Decimal            | its exact text ("12.50" stays "12.50")                          |
| date               | ISO 8601, "2026-05-01"                                          |
| datetime           | ISO 8601 in UTC with microseconds, "2026-05-01T09:30:00.000000+00:00" |
| enumeration        | its value                                                       |
| float              | a float, also where an int was given                            |

Whether a value makes sense (a year, a currency code) is not checked here.
"""

import math
import re
import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from intake.errors import StoreError
from intake.model.changes import Record
from intake.model.editions import BookSet

RecordType = TypeVar("RecordType", bound=Record)
_CAPITAL = re.compile("(?<=[a-z])(?=[A-Z])")

RECORD_TYPES: tuple[type[Record], ...] = get_args(Record)

Plain = Mapping[str, object]

CHECK = (
    "run 'intake check', which tells what it should be and how to get it back",
    "check the library, to see what it should be and how to get it back",
)


def utc_text(moment: datetime) -> str:
    """Write a moment in UTC, in one width so that the texts sort as the moments do.

    Raises:
        ValueError: the moment has no time zone.

    >>> utc_text(datetime(2026, 5, 1, 9, 30, tzinfo=UTC))
    '2026-05-01T09:30:00.000000+00:00'
    """
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone")
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def _finite_text(amount: Decimal) -> str:
    if not amount.is_finite():
        raise ValueError("an amount that is not a number")
    return str(amount)


TO_PLAIN: dict[type, Callable[[Any], object]] = {
    float: float,
    tuple: list,
    Decimal: _finite_text,
    date: date.isoformat,
    datetime: utc_text,
}
FROM_PLAIN: dict[type, Callable[[Any], object]] = {
    tuple: tuple,
    Decimal: Decimal,
    date: date.fromisoformat,
    datetime: datetime.fromisoformat,
}


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a record: its name, its type without `None`, whether `None` is allowed, and the two conversions."""

    name: str
    base: type
    optional: bool
    to_plain: Callable[[Any], object] | None
    from_plain: Callable[[Any], object] | None


def _field(name: str, hint: Any) -> Field:
    parts = get_args(hint) if get_origin(hint) is types.UnionType else (hint,)
    base = next(part for part in parts if part is not types.NoneType)
    base = get_origin(base) or base
    if issubclass(base, StrEnum):
        return Field(name, base, len(parts) > 1, str, base)
    return Field(name, base, len(parts) > 1, TO_PLAIN.get(base), FROM_PLAIN.get(base))


def _describe(kind: type[Record]) -> tuple[Field, ...]:
    hints = get_type_hints(kind)
    return tuple(_field(field.name, hints[field.name]) for field in fields(kind))


FIELDS: Mapping[type, tuple[Field, ...]] = {kind: _describe(kind) for kind in RECORD_TYPES}
"""The fields of each kind of record, in their order."""


def table_name(kind: type[Record]) -> str:
    """Return the name of the table of a kind of record."""
    return "book_set" if kind is BookSet else kind.__name__.lower()


KINDS: dict[str, type[Record]] = {table_name(kind): kind for kind in RECORD_TYPES}


def key_name(kind: type) -> str:
    """Return the name of the field that identifies a record among those of its kind."""
    return FIELDS[kind][0].name


def key_of(record: Record) -> int | str:
    """Return the key of a record."""
    key: int | str = getattr(record, key_name(type(record)))
    return key


def title_of(record: Record) -> str:
    """Return the name of a record for a person.

    >>> title_of(BookSet(id=3, title="Invented herbal"))
    'Set 3'
    """
    return f"{kind_words(type(record))} {key_of(record)}"


def to_plain(record: Record) -> dict[str, object]:
    """Return the plain values of a record.

    Raises:
        ValueError: a moment without a time zone, an amount that is not a number.

    >>> to_plain(BookSet(id=3, title="Invented herbal"))
    {'id': 3, 'title': 'Invented herbal', 'volumes': None}
    """
    plain = {}
    for field in FIELDS[type(record)]:
        value = getattr(record, field.name)
        if field.to_plain is not None and value is not None:
            value = field.to_plain(value)
        plain[field.name] = value
    return plain


def from_plain(kind: type[RecordType], plain: Plain) -> RecordType:
    """Return the record that has these plain values; a field that is absent takes its default.

    >>> from_plain(BookSet, {"id": 3, "title": "Invented herbal"})
    BookSet(id=3, title='Invented herbal', volumes=None)
    """
    values: dict[str, Any] = {
        field.name: plain[field.name] if field.from_plain is None else _value(field, plain[field.name])
        for field in FIELDS[kind]
        if field.name in plain
    }
    return kind(**values)


def is_size(value: float) -> bool:
    """Tell whether a number can be what every decimal number of a record is: a size or a mass, in mm or g.

    >>> is_size(0.0), is_size(-1.0), is_size(math.inf)
    (True, False, False)
    """
    return 0 <= value < math.inf


def from_values(kind: type[RecordType], values: Sequence[object]) -> RecordType:
    """Return the record that has these plain values, in the order of its fields, as a table holds them.

    Raises:
        StoreError: a value is not of its field; somebody else than the program wrote it.
    """
    return from_some_values(kind, FIELDS[kind], values)


def from_some_values(kind: type[RecordType], fields: Sequence[Field], values: Sequence[object]) -> RecordType:
    """Return the record that has these plain values of some of its fields, the first its key; the others default.

    Raises:
        StoreError: as `from_values`.
    """
    record = {}
    for field, value in zip(fields, values, strict=True):
        try:
            record[field.name] = _value_of_field(field, value)
        except (TypeError, ValueError, ArithmeticError) as error:
            raise _unreadable(kind, values[0], field, value) from error
    return kind(**record)


def read_plain(kind: type[RecordType], plain: Plain) -> RecordType:
    """Return the record that has these plain values, whoever wrote them; a field that is absent takes its default.

    Raises:
        TypeError, ValueError, ArithmeticError: they are not of such a record.
    """
    known = {field.name: field for field in FIELDS[kind]}
    if unknown := plain.keys() - known.keys():
        raise ValueError(f"{kind.__name__} has no field {unknown}")
    return kind(**{name: _value_of_field(known[name], value) for name, value in plain.items()})


def _value_of_field(field: Field, value: object) -> Any:
    """Return the value of a field for its plain one, which is looked at."""
    is_of_field = field.optional if value is None else field.from_plain or isinstance(value, field.base)
    if not is_of_field or (isinstance(value, float) and not is_size(value)):
        raise TypeError
    return _value(field, value)


def kind_words(kind: type) -> str:
    """Return what a person calls a kind of record, at the beginning of a sentence.

    >>> kind_words(BookSet), kind_words(KINDS["copypicture"])
    ('Set', 'Copy picture')
    """
    return "Set" if kind is BookSet else " ".join(_CAPITAL.split(kind.__name__)).capitalize()


def table_words(name: str) -> str:
    """Return what a person calls the records of a table; of one that is not the program's, its name.

    >>> table_words("setvalue"), table_words("book_set"), table_words("ledger")
    ('set value', 'book set', 'ledger')
    """
    return kind_words(KINDS[name]).lower() if name in KINDS and name != "book_set" else name.replace("_", " ")


def _unreadable(kind: type, key: object, field: Field, value: object) -> StoreError:
    why = f"cannot be read: its {field.name.replace('_', ' ')} is {repr(value)[:60]}"
    return StoreError(f"{kind_words(kind)} {key}", why, CHECK)


StateType = TypeVar("StateType", bound=StrEnum)


def state_of(kind: type[StateType], value: object, of: str) -> StateType:
    """Return the state that a cell holds.

    Args:
        kind: of state.
        value: of the cell.
        of: what has it, for the error.

    Raises:
        StoreError: it is none.
    """
    try:
        return kind(value)  # type: ignore[arg-type] # whatever the cell holds
    except ValueError as error:
        raise StoreError(of, f"cannot be read: a state is {repr(value)[:60]}", CHECK) from error


def _value(field: Field, plain: object) -> Any:
    return plain if field.from_plain is None or plain is None else field.from_plain(plain)
