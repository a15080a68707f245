"""The records that the rows of a box list name: all of a lot asked of the library at once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from intake.edges.store.queries.lists import printings_of_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.boxes import box_number
from intake.flow.lists.copies import CopyRow
from intake.flow.lists.merged_editions import MergedEditions
from intake.flow.lists.named_editions import name_editions
from intake.flow.lists.reasons import CellError, RowReason
from intake.model.boxes import Box
from intake.model.editions import Copy, Edition


@dataclass(frozen=True, slots=True)
class RowLookups:
    """The records that a lot of rows names, or why a name matches none."""

    editions: Mapping[str, Edition | CellError]
    copies: Mapping[int | str, Copy]
    editions_of_copies: Mapping[int | str, Edition]
    printings: Mapping[tuple[int, int | None], int]
    box_numbers: Mapping[str, str | CellError]
    boxes: Mapping[int | str, Box]

    def edition(self, row: CopyRow) -> Edition:
        """Return the edition of a row; raise `CellError` if its name matches none or several, or not its copy's."""
        named = self._named(row)
        if row.copy in self.copies:
            return self._edition_of_copy(row, named)
        if not isinstance(named, Edition):
            alone = CellError(RowReason.COPY_UNKNOWN, copy=row.copy) if row.copy else None
            raise named or alone or CellError(RowReason.NO_EDITION_NAMED)
        return named

    def _named(self, row: CopyRow) -> Edition | CellError | None:
        """Return the edition that key and number name; one of them may be unknown, as in another library's list."""
        found = [self.editions[name] for name in row.names]
        editions = [edition for edition in found if isinstance(edition, Edition)]
        if len({edition.id for edition in editions}) > 1:
            titles = {f"title_{nth}": edition.title for nth, edition in enumerate(editions)}
            return CellError(RowReason.EDITION_NAMED_TWICE, key=row.names[0], number=row.names[-1], **titles)
        return editions[0] if editions else next(iter(found[-1:]), None)

    def _edition_of_copy(self, row: CopyRow, named: Edition | CellError | None) -> Edition:
        own = self.editions_of_copies[self.copies[row.copy].edition_id]
        if isinstance(named, Edition) and named.id != own.id:
            raise CellError(RowReason.COPY_OF_ANOTHER_EDITION, copy=row.copy, title=own.title, text=row.names[0])
        if isinstance(named, CellError) and named.reason is not RowReason.EDITION_AMBIGUOUS:
            raise named
        return own

    def unboxed(self, rows: Iterable[CopyRow]) -> set[int]:
        """Return the ids of the editions of rows that name neither a copy nor a box."""
        named = (self._named(row) for row in rows if not row.box and not row.copy)
        return {edition.id for edition in named if isinstance(edition, Edition)}

    def printing_id(self, ordinal: int | None, edition: Edition) -> int | None:
        """Return the id of the printing that a row names."""
        if ordinal is None:
            return None
        if (edition.id, ordinal) not in self.printings:
            raise CellError(RowReason.PRINTING_UNKNOWN, printing=ordinal, title=edition.title)
        return self.printings[edition.id, ordinal]


def look_up(reader: LibraryReader, rows: Sequence[CopyRow], merged: MergedEditions) -> RowLookups:
    """Ask the library at once for all that a lot of rows names."""
    editions = name_editions(reader, (name for row in rows for name in row.names), merged)
    copies = reader.get_many(Copy, (row.copy for row in rows if row.copy))
    of_copies = reader.get_many(Edition, {copy.edition_id for copy in copies.values()})
    meant = {edition.id for edition in (*editions.values(), *of_copies.values()) if isinstance(edition, Edition)}
    printings = printings_of_editions(reader, meant) if any(row.printing is not None for row in rows) else ()
    numbers = {text: _box_number_or_error(text) for text in {row.box for row in rows if row.box}}
    return RowLookups(
        editions,
        copies,
        of_copies,
        {(printing.edition_id, printing.ordinal): printing.id for printing in printings},
        numbers,
        reader.get_many(Box, (number for number in numbers.values() if isinstance(number, str))),
    )


def _box_number_or_error(text: str) -> str | CellError:
    try:
        return box_number(text)
    except CellError as error:
        return error
