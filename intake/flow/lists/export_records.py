"""Export editions or copies to one file: a table with the columns of the import, or records for a library or the trade.

The file's suffix says which. Everything is read in one transaction, lot by lot, and the file is replaced in one step.
What a format cannot hold is counted and reported, never left out silently.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum
from pathlib import Path

from intake.edges.atomic_write import write_parts, write_whole
from intake.edges.exchange import onix_write
from intake.edges.exchange.marc_files import RecordTooLongError, marc_bytes
from intake.edges.exchange.marc_write import marc_record
from intake.edges.exchange.outgoing import OutgoingCopy, OutgoingEdition
from intake.edges.exchange.record_remarks import RecordRemark, RemarkKind, Remarks
from intake.edges.sheets import csv_bytes
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.exports import count_outdated_values, count_withdrawn, editions_after, shared_numbers
from intake.edges.store.queries.lists import printings_of_editions
from intake.edges.store.queries.values import latest_valuations_of
from intake.edges.store.reader import LibraryReader
from intake.edges.workbook_writer import xlsx_bytes
from intake.errors import FileError, UsageError
from intake.flow.lists.copies import COPY_COLUMNS
from intake.flow.lists.editions import EDITION_COLUMNS
from intake.flow.lists.export_columns import COPY_CELLS, EDITION_CELLS, SEVERAL_FIELDS, ListedCopy, edition_name
from intake.model.boxes import Box
from intake.model.editions import BookSet, Copy, CopyState
from intake.model.valuations import Valuation
from intake.shelving.collation import filing_title
from intake.units.advice import advice

EDITIONS_AT_ONCE = 500


class ExportKind(StrEnum):
    """What is exported."""

    EDITIONS = "editions"
    COPIES = "copies"


class ExportFormat(StrEnum):
    """How it is written."""

    CSV = "csv"
    XLSX = "xlsx"
    MARC = "marc"
    MARCXML = "marcxml"
    ONIX = "onix"


TABLES_OF_ROWS = (ExportFormat.CSV, ExportFormat.XLSX)
XML_FORMATS = (ExportFormat.MARCXML, ExportFormat.ONIX)
SUFFIXES = {".csv": ExportFormat.CSV, ".xlsx": ExportFormat.XLSX, ".mrc": ExportFormat.MARC}

IN_RECORDS = frozenset(
    [
        "accession",
        "edition_id",
        "printing_id",
        "state",
        "box",
        "shelfmark",
        "grade",
        "jacket",
        "has_jacket",
        "wrapped",
        "condition",
        "note",
    ]
)
"""The fields of a copy that a MARC record holds."""


@dataclass(frozen=True, slots=True)
class ExportResult:
    """What was written: count of the editions or copies, and what the format did not hold."""

    count: int
    remarks: tuple[RecordRemark, ...]


def choose_format(path: Path, kind: ExportKind, format_: str | None) -> ExportFormat:
    """Return the format of a file by its suffix.

    Args:
        path: of the file that is to be written.
        kind: what it is to hold.
        format_: "marcxml" or "onix", which a file called .xml needs and no other takes.

    Raises:
        UsageError: the suffix is none of those, or the format does not fit it or what is exported.
    """
    suffix = path.suffix.casefold()
    if suffix == ".xml":
        if format_ not in XML_FORMATS:
            choices = " or ".join(f"--format {one.value}" for one in XML_FORMATS)
            raise UsageError(
                str(path), "may be one of two kinds of XML", advice(f"add {choices}", "choose MARCXML or ONIX")
            )
        if format_ == ExportFormat.ONIX and kind is not ExportKind.EDITIONS:
            raise UsageError(
                str(path),
                "cannot hold copies, as ONIX describes editions only",
                advice("use --format marcxml", "choose MARCXML"),
            )
        return ExportFormat(format_)
    if suffix not in SUFFIXES:
        raise UsageError(str(path), "has a suffix that is not known", "call it .csv, .xlsx, .mrc or .xml")
    if format_ is not None:
        raise UsageError(f"--format {format_}", f"does not go with a file called {suffix}", "call it .xml, or omit it")
    return SUFFIXES[suffix]


def export_records(
    library: Library,
    kind: ExportKind,
    path: Path,
    *,
    format_: str | None = None,
    marked: bool = False,
    today: date,
) -> ExportResult:
    """Write the editions or copies of a library to a file.

    Args:
        library: read in one transaction.
        kind: what is written; copies in MARC are written with the records of their editions.
        path: whose suffix says the format.
        format_: see `choose_format`.
        marked: whether a CSV file begins with a byte order mark.
        today: the day that the records state.

    Raises:
        UsageError: suffix and format do not fit.
        FileError: an edition is too large for a record, or the file cannot be written.
    """
    chosen = choose_format(path, kind, format_)
    remarks = Remarks()
    with library.reading() as reader:
        export = _Export(reader, kind, remarks, gives_records=chosen not in TABLES_OF_ROWS)
        if chosen in TABLES_OF_ROWS:
            write_whole(path, export.table(chosen, kind.value.capitalize(), marked=marked))
        else:
            write_parts(path, export.records(chosen, today))
        left_out = tuple(_left_out_whole(reader, chosen)) if kind is ExportKind.COPIES else ()
    return ExportResult(export.count, (*remarks, *left_out))


def _left_out_whole(reader: LibraryReader, chosen: ExportFormat) -> Iterator[RecordRemark]:
    """Yield what of copies is in no row or record: those that were withdrawn, and all values of each but one."""
    counts = {"withdrawn copies": count_withdrawn(reader)}
    if chosen in TABLES_OF_ROWS:
        counts["other values"] = count_outdated_values(reader)
    yield from (RecordRemark(RemarkKind.LEFT_OUT, where, count, 0, "") for where, count in counts.items() if count)


class _Export:
    """One export: goes through the library, and counts."""

    def __init__(self, reader: LibraryReader, kind: ExportKind, remarks: Remarks, *, gives_records: bool) -> None:
        self.count = 0
        self._gives_records = gives_records
        self._reader = reader
        self._kind = kind
        self._remarks = remarks
        self._set_titles = {one.id: one.title for one in reader.all(BookSet)}
        self._shared = shared_numbers(reader) if kind is ExportKind.COPIES else frozenset()

    def table(self, chosen: ExportFormat, title: str, *, marked: bool) -> bytes:
        """Return a file with the columns of the import."""
        if self._kind is ExportKind.EDITIONS:
            header = [column.field for column in EDITION_COLUMNS]
            rows = ([EDITION_CELLS[name](edition) for name in header] for edition, _ in self._editions())
        else:
            header = [column.field for column in COPY_COLUMNS]
            held = frozenset(name for column in header for name in SEVERAL_FIELDS.get(column, (column,)))
            rows = ([COPY_CELLS[name](copy) for name in header] for copy in self._listed(held))
        if chosen is ExportFormat.CSV:
            return csv_bytes(header, rows, marked=marked)
        return xlsx_bytes(header, rows, title=title)

    def records(self, chosen: ExportFormat, today: date) -> Iterator[bytes]:
        """Yield a file of records, part by part."""
        from intake.edges.exchange import marcxml  # noqa: PLC0415 - loads the XML library

        opening, closing = {
            ExportFormat.MARC: (b"", b""),
            ExportFormat.MARCXML: (marcxml.OPENING, marcxml.CLOSING),
            ExportFormat.ONIX: (onix_write.opening(today), onix_write.CLOSING),
        }[chosen]
        yield opening
        for number, (edition, values) in enumerate(self._editions(), start=1):
            self._remarks.record = number
            self._note_copies(edition, values)
            if self._kind is ExportKind.EDITIONS and not edition.edition.key and not edition.edition.number:
                self._remarks.add(RemarkKind.DOUBTED, "no key", edition.edition.title)
            if chosen is ExportFormat.ONIX:
                yield onix_write.product_bytes(edition, self._remarks)
                continue
            record = marc_record(edition, today, self._remarks)
            try:
                yield marcxml.marcxml_bytes(record) if chosen is ExportFormat.MARCXML else marc_bytes(record)
            except RecordTooLongError as error:
                why = f"has more in field {error} than a MARC 21 file takes (9,999 bytes a field, 99,999 a record)"
                raise FileError(repr(edition.edition.title), why, "write MARCXML instead") from error
        yield closing

    def _editions(self) -> Iterator[tuple[OutgoingEdition, Mapping[str, Valuation]]]:
        """Yield all editions, or those with copies, each with its copies and their values where copies are exported."""
        last = 0
        while lot := editions_after(self._reader, last, EDITIONS_AT_ONCE):
            last = lot[-1].id
            copies: dict[int, list[OutgoingCopy]] = {}
            values: Mapping[str, Valuation] = {}
            if self._kind is ExportKind.COPIES:
                copies, values = self._copies([edition.id for edition in lot])
            for edition in lot:
                own = copies.get(edition.id, [])
                if self._kind is ExportKind.COPIES and not own:
                    if self._gives_records:  # a box list names no editions but by their copies
                        self._remarks.left_out("no copies", edition.title)
                    continue
                self.count += len(own) if self._kind is ExportKind.COPIES else 1
                title = self._set_titles.get(edition.set_id, "") if edition.set_id is not None else ""
                skip = len(edition.title) - len(filing_title(edition.title, edition.language))
                yield OutgoingEdition(edition, title, own, skip), values

    def _copies(self, edition_ids: list[int]) -> tuple[dict[int, list[OutgoingCopy]], Mapping[str, Valuation]]:
        copies = copies_of_editions(self._reader, edition_ids)
        printings = {one.id: one.ordinal for one in printings_of_editions(self._reader, edition_ids)}
        boxes = self._reader.get_many(Box, {copy.box for copy in copies if copy.box})
        grouped: dict[int, list[OutgoingCopy]] = {}
        for copy in copies:
            room = boxes[copy.box].room if copy.box in boxes else ""
            ordinal = printings.get(copy.printing_id) if copy.printing_id is not None else None
            grouped.setdefault(copy.edition_id, []).append(OutgoingCopy(copy, ordinal, room))
        return grouped, latest_valuations_of(self._reader, (copy.accession for copy in copies))

    def _listed(self, held: frozenset[str]) -> Iterator[ListedCopy]:
        """Yield the rows of a box list, edition by edition."""
        number = 0
        for edition, values in self._editions():
            for copy in edition.copies:
                number += 1
                self._remarks.record = number
                self._note(edition, copy, held)
                yield ListedCopy(edition.edition, copy, values.get(copy.copy.accession))

    def _note_copies(self, edition: OutgoingEdition, values: Mapping[str, Valuation]) -> None:
        for copy in edition.copies:
            self._note(edition, copy, IN_RECORDS)
            if value := values.get(copy.copy.accession):
                self._remarks.left_out("value", f"{value.currency} {value.amount}")

    def _note(self, edition: OutgoingEdition, outgoing: OutgoingCopy, held: frozenset[str]) -> None:
        """Note what a copy has that is not written, and whether its edition can be told by the name that is."""
        copy = outgoing.copy
        for field in fields(Copy):
            value = getattr(copy, field.name)
            if field.name not in held and value not in (None, "", False):
                self._remarks.left_out(field.name, str(value))
        if copy.state not in (CopyState.AT_HAND, CopyState.PACKED):
            self._remarks.left_out("state", copy.state.value)
        if not edition_name(edition.edition):
            self._remarks.add(RemarkKind.DOUBTED, "no name", edition.edition.title)
        elif not edition.edition.key and edition.edition.number in self._shared:
            self._remarks.add(RemarkKind.DOUBTED, "shared number", edition.edition.number or "")
