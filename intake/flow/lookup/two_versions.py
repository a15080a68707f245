"""Two people at one record: a form shows the record as it was when the form was opened, and is saved later.

A form carries its version: the number of the last entry of the ledger at that moment. What the record was then stands
in the ledger. A field that somebody else has changed since, and that the form says otherwise, is for the person to
choose: neither value is written over the other unseen.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from intake.edges.store.queries.ledger_entries import record_changes_since
from intake.edges.store.queries.lists import last_entry
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import RecordType
from intake.errors import UsageError
from intake.model.changes import LedgerEntry


@dataclass(frozen=True, slots=True)
class Overlap:
    """A field that was changed by another since a form was opened: its values then, now, and in the form."""

    field: str
    opened: str
    now: str
    typed: str


@dataclass(frozen=True, slots=True)
class Overlapping:
    """A form that was not saved, as another has changed the same record since it was opened.

    Attributes:
        fields: where the two differ.
        stations: who has changed the record since.
        version: of the record as it is now, for the form in which the person chooses.
    """

    fields: tuple[Overlap, ...]
    stations: tuple[str, ...]
    version: int


@dataclass(frozen=True, slots=True)
class Saved:
    """A form that was saved, by an entry of the ledger; None where it says nothing new. Remarks are for the person."""

    entry: LedgerEntry | None
    remarks: tuple[str, ...] = ()


def version_of(reader: LibraryReader) -> int:
    """Return the version for the forms of a page that is made from this reader."""
    return last_entry(reader)


def read_version(text: str) -> int:
    """Read the version of a form.

    Raises:
        UsageError: it has none: nobody knows what the form showed.
    """
    if not (text.isascii() and text.isdigit() and len(text) < 17):
        raise UsageError("This form", "does not tell when it was opened", "load its page again")
    return int(text)


def as_opened(reader: LibraryReader, record: RecordType, version: int) -> tuple[RecordType | None, tuple[str, ...]]:
    """Return what a record was at a version, None where it was not there yet, and who has changed it since."""
    changes = record_changes_since(reader, record, version)
    if not changes:
        return record, ()
    return changes[0].before, tuple(dict.fromkeys(change.station for change in changes))


def overlaps(opened: Mapping[str, str], now: Mapping[str, str], typed: Mapping[str, str]) -> tuple[Overlap, ...]:
    """Return the fields that another has changed since the form was opened and that the form says otherwise.

    Args:
        opened: the form's values when it was opened.
        now: the values that it would show now.
        typed: what is to be saved.

    >>> then, now = {"title": "Owls", "year": "1998"}, {"title": "Owls", "year": "1999"}
    >>> overlaps(then, now, {"title": "Owls of Ash", "year": "1998"})
    (Overlap(field='year', opened='1998', now='1999', typed='1998'),)
    """
    return tuple(
        Overlap(field, opened.get(field, ""), now[field], value)
        for field, value in typed.items()
        if field in now and now[field] != opened.get(field, "") and value != now[field]
    )


def changed_fields(now: Mapping[str, str], typed: Mapping[str, str]) -> dict[str, str]:
    """Return what a form says otherwise than the record: only that is written."""
    return {field: value for field, value in typed.items() if field in now and value != now[field]}


def as_sent(value: str) -> str:
    """Return a value of a record as a form returns it where nobody touched it."""
    return value.replace("\r\n", "\n").replace("\r", "\n").strip()
