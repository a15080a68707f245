"""A file of library or trade records as the rows of a list of editions; of copies too, where it is MARC 21.

Which format a file has is told by how it begins, never by its name. The header is the list's own, so that no column
has to be found; what a record held that no column takes is in the remarks.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from pathlib import Path

from intake.edges.csv_rows import SheetRow
from intake.edges.exchange.marc_editions import edition_cells, is_holdings
from intake.edges.exchange.marc_fields import MarcRecord
from intake.edges.exchange.marc_files import looks_like_marc, read_marc
from intake.edges.exchange.marc_holdings import HELD
from intake.edges.exchange.marc_items import copy_cells
from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem, RemarkKind, Remarks
from intake.errors import FileError, UsageError
from intake.flow.lists.copies import COPY_COLUMNS
from intake.flow.lists.editions import EDITION_COLUMNS
from intake.flow.lists.import_list import ListKind
from intake.runs.notation import write_statement
from intake.runs.parts import Parts, union_of
from intake.runs.published import read_published
from intake.runs.statements import Collected, StatementFault

FIRST_BYTES = 8192


class RecordFormat(StrEnum):
    """How records of editions are written."""

    MARC = "marc"
    MARCXML = "marcxml"
    ONIX = "onix"


FORMAT_NAMES: Mapping[RecordFormat, str] = {
    RecordFormat.MARC: "MARC 21",
    RecordFormat.MARCXML: "MARCXML",
    RecordFormat.ONIX: "ONIX for Books",
}

Cells = dict[str, str]
_ITEM_BITS = 32


class RecordPlace(int):
    """The place of a row in a file of records: its record, and where that gives several rows, which of them.

    As a number it is another for each row, so that no two items of a record are taken for one row; the later row has
    the greater. It is written as a person counts: '2', or '2, item 3'.
    """

    def __new__(cls, record: int, item: int = 0) -> "RecordPlace":
        """Make a place of the numbers of the record and the item, from 1; no item where the record gives one row."""
        return super().__new__(cls, (record << _ITEM_BITS) + item)

    def __str__(self) -> str:
        record, item = divmod(self, 1 << _ITEM_BITS)
        return f"{record}, item {item}" if item else f"{record}"


def format_of(first_bytes: bytes) -> RecordFormat | None:
    """Return the format of a file that begins with these bytes (`FIRST_BYTES` suffice); None if it holds no records."""
    from intake.edges.exchange.marcxml import looks_like_marcxml  # noqa: PLC0415 - loads the XML library
    from intake.edges.exchange.onix_read import looks_like_onix  # noqa: PLC0415 - as above

    if looks_like_onix(first_bytes):
        return RecordFormat.ONIX
    if looks_like_marcxml(first_bytes):
        return RecordFormat.MARCXML
    return RecordFormat.MARC if looks_like_marc(first_bytes) else None


def open_records(path: Path, kind: ListKind) -> "RecordRows | None":
    """Open a file of records as a list.

    Returns:
        The rows; None where the file holds no records of a known format.

    Raises:
        FileError: it cannot be read.
        UsageError: it holds records, and they do not give lists of this kind.
    """
    try:
        with path.open("rb") as file:
            format_ = format_of(file.read(FIRST_BYTES))
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error
    return None if format_ is None else RecordRows(path, format_, kind)


class RecordRows:
    """The records of a file as rows of a list, read anew each time they are asked for.

    Attributes:
        format: of the file.
        header: the names of the list's own columns.
        remarks: what was left out or converted, after the rows were read.

    Raises:
        UsageError: records of this format do not give lists of this kind.
    """

    def __init__(self, path: Path, format_: RecordFormat, kind: ListKind) -> None:
        self.format = format_
        self.remarks = Remarks()
        self._path = path
        self._kind = kind
        name = FORMAT_NAMES[format_]
        if kind not in (ListKind.EDITIONS, ListKind.COPIES):
            raise UsageError(str(path), f"holds {name} records, which give no list of {kind.value}", "import a table")
        if kind is ListKind.COPIES and format_ is RecordFormat.ONIX:
            raise UsageError(str(path), f"is {name}, which describes no copies", "import it as editions")
        columns = EDITION_COLUMNS if kind is ListKind.EDITIONS else COPY_COLUMNS
        self.header = tuple(column.field for column in columns)

    def __iter__(self) -> Iterator[SheetRow | RecordFault]:
        """Yield the rows; `line` is the `RecordPlace` of each."""
        self.remarks.clear()
        for rows in self._records():
            if isinstance(rows, RecordFault):
                if rows.problem is RecordProblem.DELETED:
                    self.remarks.add(RemarkKind.DELETED, "notice of deletion")
                else:
                    yield replace(rows, line=RecordPlace(rows.line))
                continue
            for item, cells in enumerate(rows, 1):
                for field in cells.keys() - self.header:
                    self.remarks.left_out(field, cells[field])
                place = RecordPlace(self.remarks.record, item if len(rows) > 1 else 0)
                yield SheetRow(place, {field: cells.get(field, "") for field in self.header})

    def _records(self) -> Iterator[Sequence[Cells] | RecordFault]:
        """Yield the rows that each record gives, or why it gives none."""
        if self.format is RecordFormat.ONIX:
            from intake.edges.exchange.onix_read import read_onix  # noqa: PLC0415 - loads the XML library

            return (row if isinstance(row, RecordFault) else (row,) for row in read_onix(self._path, self.remarks))
        return self._marc_records()

    def _marc_records(self) -> Iterator[Sequence[Cells] | RecordFault]:
        from intake.edges.exchange.marcxml import read_marcxml  # noqa: PLC0415 - loads the XML library

        read = read_marcxml if self.format is RecordFormat.MARCXML else read_marc
        for record in read(self._path, self.remarks):
            if isinstance(record, RecordFault):
                yield record
                continue
            try:
                yield self._of_record(record)
            except RecordError as error:
                yield error.at(self.remarks.record)

    def _of_record(self, record: MarcRecord) -> Sequence[Cells]:
        if self._kind is ListKind.COPIES:
            return copy_cells(record, self.remarks)
        if is_holdings(record):
            self.remarks.add(RemarkKind.COPIES, "holdings record")
            return ()
        return (self._with_holdings(edition_cells(record, self.remarks)),)

    def _with_holdings(self, cells: Cells) -> Cells:
        """Add what the record of a serial says is held of it; what is not understood of that is noted."""
        held: list[Parts] = []
        for text in cells.pop(HELD, "").splitlines():
            read = read_published(text)
            if isinstance(read, StatementFault):
                self.remarks.left_out(HELD, text)
                continue
            held.append(read.held)
            if read.remarks:
                self.remarks.converted(HELD, text)
        if not held or not (title := cells.get("title")):
            return cells
        own = write_statement((Collected(title, union_of(held)),))
        return {**cells, "collects": "; ".join(filter(None, (cells.get("collects"), own)))}
