"""What the import of a list asks the library, for many rows at once."""

from collections.abc import Collection, Iterable, Iterator, Mapping

from sqlalchemy import ColumnElement, Select, exists, func, literal, or_, select, union, union_all

from intake.edges.store.chain import ChangeText
from intake.edges.store.fetching import fetch, fetch_any, in_lots, key_column
from intake.edges.store.queries.editions import ISSN_DIGITS, ISSN_PREFIX
from intake.edges.store.queries.ledger_entries import row_change
from intake.edges.store.queries.reversals import was_taken_back
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import table_name
from intake.edges.store.tables import TABLES, ledger, ledger_change
from intake.model.boxes import Box
from intake.model.changes import ActionKind, Record, RowChange
from intake.model.earlier import EarlierListing
from intake.model.editions import Copy, Edition, Printing
from intake.model.places import Place
from intake.model.valuations import Valuation

_EDITION = TABLES[Edition].c
_EARLIER = TABLES[EarlierListing]

LIST_STEPS: Mapping[str, ActionKind] = {
    kind.value: kind
    for kind in (
        ActionKind.IMPORT_EDITIONS,
        ActionKind.IMPORT_PRINTINGS,
        ActionKind.IMPORT_PLACES,
        ActionKind.IMPORT_COPIES,
        ActionKind.IMPORT_BOXES,
        ActionKind.IMPORT_CONSIGNMENT,
    )
}
"""The imports of lists, by what the ledger calls them."""


def editions_with_keys(reader: LibraryReader, keys: Iterable[str]) -> tuple[Edition, ...]:
    """Return the editions that have one of these keys of the person's own list."""
    return fetch_any(reader.connection, Edition, _EDITION.key, (key for key in keys if key))


def editions_with_numbers(reader: LibraryReader, numbers: Iterable[str]) -> tuple[Edition, ...]:
    """Return the editions that carry one of these numbers, a serial under any variant of it."""
    return tuple(
        edition for condition in _carrying(numbers) for edition in fetch(reader.connection, Edition, condition)
    )


def numbers_in_library(reader: LibraryReader, numbers: Collection[str]) -> set[str]:
    """Return those of the numbers that an edition carries, or a copy, a box or a place has for its own."""
    known = {
        number
        for condition in _carrying(numbers)
        for number in reader.connection.scalars(select(_EDITION.number).where(condition))
    }
    stems = {number[:ISSN_DIGITS] for number in known if number.startswith(ISSN_PREFIX)}
    known |= {number for number in numbers if number[:ISSN_DIGITS] in stems}
    for kind in (Copy, Box, Place):
        for lot in in_lots(numbers):
            known.update(reader.connection.scalars(select(key_column(kind)).where(key_column(kind).in_(lot))))
    return known


def _carrying(numbers: Iterable[str]) -> Iterable[ColumnElement[bool]]:
    """Yield, lot by lot, the condition that an edition carries one of these numbers."""
    unique = dict.fromkeys(numbers)
    yield from (_EDITION.number.in_(lot) for lot in in_lots(n for n in unique if not n.startswith(ISSN_PREFIX)))
    stems = dict.fromkeys(n[:ISSN_DIGITS] for n in unique if n.startswith(ISSN_PREFIX))
    for lot in in_lots(stems, 100):
        yield or_(*(_EDITION.number.between(f"{stem}000", f"{stem}999") for stem in lot))


def printings_of_editions(reader: LibraryReader, edition_ids: Iterable[int]) -> tuple[Printing, ...]:
    """Return the printings of these editions."""
    return fetch_any(reader.connection, Printing, TABLES[Printing].c.edition_id, edition_ids)


def boxes_of_no_consignment(reader: LibraryReader) -> tuple[Box, ...]:
    """Return the boxes that belong to no consignment yet."""
    return fetch(reader.connection, Box, TABLES[Box].c.consignment.is_(None))


def last_entry(reader: LibraryReader) -> int:
    """Return the number of the last entry of the ledger, 0 where there is none."""
    return reader.connection.scalar(select(func.max(ledger.c.seq))) or 0


def has_any(reader: LibraryReader, kind: type[Record]) -> bool:
    """Return whether the library has a record of a kind."""
    return bool(reader.connection.scalar(select(exists().select_from(TABLES[kind]))))


def records_made_since(reader: LibraryReader, seq: int, kinds: Iterable[type[Record]]) -> bool:
    """Return whether an entry after this one made a record of one of the kinds."""
    made = ledger_change.c.before.is_(None) & ledger_change.c.record_table.in_([table_name(kind) for kind in kinds])
    return bool(reader.connection.scalar(select(exists().where(ledger_change.c.seq > seq, made))))


def changes_of_list(
    reader: LibraryReader, action: ActionKind, file: str, kinds: Iterable[type[Record]]
) -> Iterator[RowChange]:
    """Yield what earlier imports of a list changed, oldest first, without those that were taken back.

    What they changed in the library from whose records this one was made comes first (`EarlierListing`).
    """
    # Wrapped, so that the changes are looked up by their entries, and not every change of a copy by its table.
    table = func.coalesce(ledger_change.c.record_table, "")
    tables = [table_name(kind) for kind in kinds]
    earlier = _EARLIER.c.record_table.in_(tables)
    told = (ledger_change.c.seq.in_(_entries_of_list(action, file)), table.in_(tables))
    return map(row_change, _changes(reader, (_of_list(action, file), earlier), told))


def changes_of_list_of(
    reader: LibraryReader, action: ActionKind, file: str, kind: type[Record], keys: Iterable[int | str]
) -> Iterator[RowChange]:
    """Yield what earlier imports of a list changed of some records, oldest first for each; see `changes_of_list`."""
    column = ledger_change.c
    # Wrapped, so that the few changes are looked up by their records.
    entry = func.coalesce(column.seq, 0).in_(_entries_of_list(action, file))
    of_list = func.coalesce(_EARLIER.c.file, "") == file, _EARLIER.c.step == action.value
    for lot in in_lots(dict.fromkeys(map(str, keys))):
        earlier, told = (
            (table.c.record_table == table_name(kind), table.c.record_key.in_(lot))
            for table in (_EARLIER, ledger_change)
        )
        yield from map(row_change, _changes(reader, (*of_list, *earlier), (*told, entry)))


def change_texts_of_list(reader: LibraryReader, action: ActionKind, file: str) -> Iterator[ChangeText]:
    """Yield all that earlier imports of a list changed, of any record, as the ledger has it; see `changes_of_list`."""
    told = ledger_change.c.seq.in_(_entries_of_list(action, file))
    return _changes(reader, (_of_list(action, file),), (told,))


def imported_lists(reader: LibraryReader) -> tuple[tuple[ActionKind, str], ...]:
    """Return the lists that were imported, but those of which every import was taken back.

    Returns:
        What the import of each is called, and the name of its file, in the order of the names.
    """
    told = select(ledger.c.name, ledger.c.subject).where(ledger.c.name.in_(LIST_STEPS), ~was_taken_back())
    names = reader.connection.execute(union(told, select(_EARLIER.c.step, _EARLIER.c.file)))
    return tuple(sorted((LIST_STEPS[name], file) for name, file in names))


def _of_list(action: ActionKind, file: str) -> ColumnElement[bool]:
    return (_EARLIER.c.step == action.value) & (_EARLIER.c.file == file)


def _entries_of_list(action: ActionKind, file: str) -> Select[tuple[int]]:
    return select(ledger.c.seq).where(ledger.c.name == action.value, ledger.c.subject == file, ~was_taken_back())


def _changes(
    reader: LibraryReader, earlier: Iterable[ColumnElement[bool]], told: Iterable[ColumnElement[bool]]
) -> Iterator[ChangeText]:
    """Yield what the records of an earlier library, then the ledger of this one, tell under these conditions."""
    texts = ("record_table", "record_key", "before", "after")
    first = select(literal(0).label("seq"), _EARLIER.c.id.label("nth"), *(_EARLIER.c[name] for name in texts))
    then = select(*(ledger_change.c[name] for name in ("seq", "nth", *texts)))
    both = union_all(first.where(*earlier), then.where(*told))
    in_order = both.order_by(both.selected_columns.seq, both.selected_columns.nth)
    for row in reader.connection.execute(in_order.execution_options(yield_per=1000)):
        yield ChangeText(row.record_table, row.record_key, row.before, row.after)


def copies_in_no_box(reader: LibraryReader, edition_ids: Iterable[int]) -> tuple[Copy, ...]:
    """Return the copies of these editions that are on the list of no box."""
    copy = TABLES[Copy].c
    lots = in_lots(dict.fromkeys(edition_ids))
    return tuple(
        found for lot in lots for found in fetch(reader.connection, Copy, copy.edition_id.in_(lot), copy.box.is_(None))
    )


def valuations_of_copies(reader: LibraryReader, accessions: Iterable[str]) -> tuple[Valuation, ...]:
    """Return all valuations of these copies, in the order in which they were recorded."""
    valuations = fetch_any(reader.connection, Valuation, TABLES[Valuation].c.copy, accessions)
    return tuple(sorted(valuations, key=lambda valuation: valuation.id))


def parts_of_plan(reader: LibraryReader, token: str) -> tuple[int, ...]:
    """Return the entries that applied parts of one plan (`parts.PartOf`) and were not taken back, in their order."""
    request = ledger.c.request.between(f"part:{token}:", f"part:{token};")
    parts = select(ledger.c.seq).where(request, ~was_taken_back()).order_by(ledger.c.seq)
    return tuple(reader.connection.scalars(parts))
