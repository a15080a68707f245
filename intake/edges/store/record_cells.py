"""Records as the cells of a table, and back, exactly.

| value               | cell                                                               |
| ------------------- | ------------------------------------------------------------------ |
| None, an empty text | empty; read as None where the field may be None                    |
| tuple of texts      | joined by "; ", with a backslash before a semicolon or a backslash |
| yes or no           | "yes", "no"                                                        |
| float               | the shortest text that is the same number, without ".0"            |
| else                | as in the plain form (`rows`)                                      |
"""

import re
from collections.abc import Collection, Mapping, Sequence
from decimal import InvalidOperation
from math import isfinite

from intake.edges.store.rows import FIELDS, Field, RecordType, from_plain, to_plain
from intake.model.changes import Record

_PART = re.compile(r"(?:[^\\;]|\\.)*", re.DOTALL)


class CellUnreadableError(ValueError):
    """A cell that is not what its field keeps.

    Args:
        field: the name of the field.
        text: of the cell.
    """

    def __init__(self, field: str, text: str) -> None:
        super().__init__(field, text)
        self.field = field
        self.text = text


def columns(kind: type[Record], without: Collection[str] = ()) -> tuple[str, ...]:
    """Return the names of the columns of a kind of record: its fields, in their order."""
    return tuple(field.name for field in FIELDS[kind] if field.name not in without)


def cells(record: Record, names: Sequence[str]) -> list[str]:
    """Return the cells of a record under these columns."""
    plain = to_plain(record)
    return [_text(plain[name]) for name in names]


def read_record(kind: type[RecordType], texts: Mapping[str, str]) -> RecordType:
    """Return the record of a row; a field without a column takes its default.

    Raises:
        CellUnreadableError: a cell that is not what its field keeps.
    """
    plain = {field.name: _plain(field, texts[field.name]) for field in FIELDS[kind] if field.name in texts}
    try:
        record = from_plain(kind, plain)
        to_plain(record)
    except (ValueError, InvalidOperation):
        raise _first_fault(kind, texts, plain) from None
    return record


def _first_fault(kind: type[RecordType], texts: Mapping[str, str], plain: Mapping[str, object]) -> CellUnreadableError:
    for field in FIELDS[kind]:
        try:
            value = plain.get(field.name)
            if value is not None and field.from_plain is not None:
                value = field.from_plain(value)
            if value is not None and field.to_plain is not None:
                field.to_plain(value)
        except (ValueError, InvalidOperation):
            return CellUnreadableError(field.name, texts[field.name])
    return CellUnreadableError(FIELDS[kind][0].name, texts[FIELDS[kind][0].name])


def _text(plain: object) -> str:
    if plain is None:
        return ""
    if isinstance(plain, bool):
        return "yes" if plain else "no"
    if isinstance(plain, float):
        return str(int(plain)) if plain.is_integer() and abs(plain) < 1e15 else repr(plain)
    if isinstance(plain, list):
        return "; ".join(re.sub(r"([\\;])", r"\\\1", part) for part in plain)
    return str(plain)


def _plain(field: Field, text: str) -> object:
    if not text and field.optional:
        return None
    if field.base is tuple:
        return _parts(text)
    try:
        if field.base is int:
            return int(text)
        if field.base is float:
            return _finite(text)
        if field.base is bool:
            return {"yes": True, "no": False}[text]
    except (ValueError, KeyError):
        raise CellUnreadableError(field.name, text) from None
    return text


def _finite(text: str) -> float:
    number = float(text)
    if not isfinite(number):
        raise ValueError("not a finite number")
    return number


def _parts(text: str) -> list[str]:
    r"""Split at semicolons that no backslash precedes.

    >>> _parts("Ima Ginary; Nonesuch \\; Sons")
    ['Ima Ginary', 'Nonesuch ; Sons']
    """
    parts: list[str] = []
    at = 0
    while text and at <= len(text):
        match = _PART.match(text, at)
        part = match[0] if match is not None else ""
        parts.append(re.sub(r"\\(.)", r"\1", part.removeprefix(" ") if parts else part, flags=re.DOTALL))
        at += len(part) + 1
    return parts
