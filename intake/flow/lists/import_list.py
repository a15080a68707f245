"""One file of a person's lists: read and planned lot by lot, then applied, or only shown.

All or nothing: a single bad row leaves the library as it was, unless the person says to leave the bad rows out.
Planning writes nothing and takes no lock; a large plan waits outside the library and is applied in parts
(`intake.edges.store.parts`).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from functools import partial
from itertools import islice
from typing import Any, Protocol

from intake.edges.exchange.record_remarks import RecordRemark
from intake.edges.store.library import Library
from intake.edges.store.parts import PlanBasis, PlanChecks, apply_staged
from intake.edges.store.queries.lists import last_entry
from intake.edges.store.reader import LibraryReader
from intake.edges.store.staging import StagedPlan
from intake.flow.lists.boxes import (
    BOX_COLUMNS,
    CONSIGNMENT_COLUMNS,
    BoxPlanner,
    ConsignmentPlanner,
    parse_box,
    parse_consignment,
)
from intake.flow.lists.columns import Cells, ListColumn
from intake.flow.lists.copies import COPY_COLUMNS, parse_copy
from intake.flow.lists.copy_planner import CopyPlanner
from intake.flow.lists.edition_planner import EditionPlanner
from intake.flow.lists.editions import (
    EDITION_COLUMNS,
    PRINTING_COLUMNS,
    SIZES,
    PrintingPlanner,
    parse_edition,
    parse_printing,
)
from intake.flow.lists.headings import map_columns
from intake.flow.lists.import_totals import ImportTotals
from intake.flow.lists.lot_plan import (
    NO_DOUBTS,
    LeftRoom,
    ListDoubts,
    ListPlanner,
    LotPlan,
    MergedName,
    RowOutcome,
    UnlistedCopy,
    UnlistedEdition,
)
from intake.flow.lists.parsed_rows import ListedRow, ParsedRows, parse_rows
from intake.flow.lists.places import PLACE_COLUMNS, PlacePlanner, parse_shelf
from intake.flow.lists.reasons import BadRow
from intake.flow.lists.recorded_since import RecordedSince
from intake.model.boxes import Box, Consignment
from intake.model.changes import Action, ActionKind, Provisional, Record
from intake.model.editions import BookSet, Copy, Edition, Printing
from intake.model.places import Place
from intake.model.valuations import Basis

ROWS_AT_ONCE = 2000
"""Rows that are parsed and planned together, with a few statements for all of them."""


class ListKind(StrEnum):
    """What the rows of a list are."""

    EDITIONS = "editions"
    PRINTINGS = "printings"
    PLACES = "places"
    COPIES = "copies"
    BOXES = "boxes"
    CONSIGNMENT = "consignment"


class RowUnit(StrEnum):
    """What a row of a file is, for the person."""

    ROW = "row"
    RECORD = "record"
    ITEM = "item"


class ListRows(Protocol):
    """The rows of a list, in memory or read as they are asked for."""

    @property
    def header(self) -> tuple[str, ...]:
        """Return the names of the columns."""

    def __iter__(self) -> Iterator[ListedRow]:
        """Yield the rows; one that could not be made into a row of the list gives its reason."""


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What an import did, or would do.

    Attributes:
        made_of: count of the records that are new, by what they are.
        altered_of: count of the records that get new values, by what they are.
        unchanged: count of the rows that change nothing.
        bad_rows: those that cannot be used, by line.
        entries: of the ledger, one for each part; none after a dry run, a refusal, or where nothing changed.
        unlisted: the copies of an earlier import of the same list that this one no longer has; they stay as they are.
        unlisted_editions: its editions that this one no longer has.
        repeated: the lines that say the same of an edition as an earlier one, by its line.
        undated: count of the new values to which the list gives no day and that are dated today, by their basis.
        alike: the lines of new editions that differ from an earlier one in their keys alone, by its line.
        merged: the rows that name editions that were merged into others, and mean these.
        withdrawn: the rows that mean copies that were withdrawn, with the numbers of these.
        rooms: those of rows of copies that no box gets.
        doubts: what is taken as it stands, though less follows from it than the person may think.
        left: count of the cells that say what the list said before, while something else was recorded since.
        overwritten: the rows that overwrite what was recorded since, whether or not all rows are asked for.
        outdated: the rows whose value does not count, as a later one is recorded.
        emptied: count of the cells that are empty while something is recorded, by column; the record stays.
        left_empty: what was wrong with cells that were left empty, as asked, by line.
        rows: what each usable row changes, by line; empty unless asked for.
        consigned: the boxes that a list of consignments puts into each, by its reference; an empty list for none.
        is_new_library: whether there was no library in the folder, so that the plan was made from an empty one.
        remarks: what records of other systems held that has no field here, or that was converted.
        unit: what the rows are; where they are not rows of a table, their lines are records of the file.
    """

    made_of: Mapping[type[Record], int]
    altered_of: Mapping[type[Record], int]
    unchanged: int
    bad_rows: tuple[BadRow, ...]
    entries: tuple[int, ...]
    unlisted: tuple[UnlistedCopy, ...] = ()
    unlisted_editions: tuple[UnlistedEdition, ...] = ()
    repeated: Mapping[int, Sequence[int]] = field(default_factory=dict)
    undated: Mapping[Basis, int] = field(default_factory=dict)
    alike: Mapping[int, Sequence[int]] = field(default_factory=dict)
    merged: tuple[MergedName, ...] = ()
    withdrawn: tuple[tuple[int, str], ...] = ()
    rooms: tuple[LeftRoom, ...] = ()
    doubts: ListDoubts = NO_DOUBTS
    left: int = 0
    overwritten: tuple[RowOutcome, ...] = ()
    outdated: tuple[RowOutcome, ...] = ()
    emptied: Mapping[str, int] = field(default_factory=dict)
    left_empty: tuple[BadRow, ...] = ()
    rows: tuple[RowOutcome, ...] = ()
    consigned: Mapping[str, Sequence[str]] = field(default_factory=dict)
    is_new_library: bool = False
    remarks: tuple[RecordRemark, ...] = ()
    unit: RowUnit = RowUnit.ROW

    @property
    def made(self) -> int:
        """Return how many records are new."""
        return sum(self.made_of.values())

    @property
    def altered(self) -> int:
        """Return how many records get new values."""
        return sum(self.altered_of.values())


def import_table(  # noqa: PLR0913 - each is a choice of the person or of the caller
    library: Library,
    kind: ListKind,
    table: ListRows,
    *,
    file: str,
    mapping: Mapping[str, str] | None = None,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    empty_bad_cells: bool = False,
    by_row: bool = False,
    station: str,
    today: date,
    into: Callable[[], Library] | None = None,
) -> ImportResult:
    """Import one list.

    Args:
        library: what the plan is made from.
        kind: what the rows are.
        table: the rows.
        file: the file's name, for messages and the ledger.
        mapping: field to heading, where the headings are not the usual ones.
        dry_run: plan only.
        skip_bad_rows: import the good rows even if there are bad ones.
        empty_bad_cells: leave cells empty that a record can do without and that cannot be read.
        by_row: keep what each row changes.
        station: who does it.
        today: the date of values that carry none.
        into: returns the library to apply the plan to, if not `library`; called only if a plan is applied.

    Raises:
        FileError: a required column is missing.
        UsageError: the mapping names an unknown field or heading.
        RefusedError: another station changed meanwhile what the plan was made from.
    """
    format_ = _FORMATS[kind]
    headings = map_columns(table.header, format_.columns, file=file, mapping=mapping or {})
    with StagedPlan() as staged:
        totals = ImportTotals(by_row=by_row)
        with library.reading() as reader:
            basis = PlanBasis(last_entry(reader), format_.looks_for)
            since = RecordedSince(reader, _ACTIONS[kind], file)
            parse = partial(parse_rows, headings=headings, parse=format_.parse, empty_bad_cells=empty_bad_cells)
            for lot in _plan(table, parse, format_.planner(reader, today, file), totals):
                changes = totals.add(since.leave(lot))
                if kind is ListKind.CONSIGNMENT:
                    totals.note_consigned(changes)
                if dry_run or (totals.bad and not skip_bad_rows):
                    staged.count(changes)
                else:
                    staged.add(changes)
        entries: tuple[int, ...] = ()
        if not dry_run and (skip_bad_rows or not totals.bad) and (staged.made or staged.altered):
            target = into() if into is not None else library
            action = Action(_ACTIONS[kind], file, station=station)
            entries = apply_staged(target, action, staged, PlanChecks(basis.check)).entries
    bad = tuple(sorted(totals.bad, key=lambda row: row.line))
    rows = tuple(sorted(totals.rows, key=lambda row: row.line))
    return ImportResult(
        staged.made,
        staged.altered,
        totals.unchanged,
        bad,
        entries,
        unlisted=totals.unlisted,
        unlisted_editions=totals.unlisted_editions,
        repeated=totals.repeated,
        undated=totals.undated,
        alike=totals.alike,
        merged=tuple(totals.merged),
        withdrawn=tuple(totals.withdrawn),
        rooms=tuple(totals.rooms),
        doubts=totals.doubts,
        left=totals.left,
        overwritten=tuple(sorted(totals.overwritten, key=lambda row: row.line)),
        outdated=tuple(totals.outdated),
        emptied={column: totals.emptied[column] for column in headings if totals.emptied[column]},
        left_empty=tuple(totals.left_empty),
        rows=rows,
        consigned=totals.consigned,
    )


def _plan(
    table: ListRows,
    parse: Callable[[Sequence[ListedRow]], ParsedRows],
    planner: ListPlanner[Any],
    totals: ImportTotals,
) -> Iterator[LotPlan]:
    """Yield the plan of each lot of rows; the rows that cannot even be parsed are added to the totals."""
    rows = iter(table)
    while listed := list(islice(rows, ROWS_AT_ONCE)):
        parsed = parse(listed)
        totals.bad += parsed.bad
        totals.left_empty += parsed.emptied
        yield planner.plan(parsed.good)
    yield planner.finish()


@dataclass(frozen=True, slots=True)
class _ListFormat:
    """How a kind of list is read and planned, and which records its plan looks for."""

    columns: Sequence[ListColumn]
    parse: Callable[[Cells], Any]
    planner: Callable[[LibraryReader, date, str], ListPlanner[Any]]
    looks_for: Sequence[type[Record]]


_FORMATS: Mapping[ListKind, _ListFormat] = {
    ListKind.EDITIONS: _ListFormat(
        (*EDITION_COLUMNS, SIZES),
        parse_edition,
        lambda reader, _, file: EditionPlanner(reader, file),
        (Edition, BookSet),
    ),
    ListKind.PRINTINGS: _ListFormat(
        PRINTING_COLUMNS, parse_printing, lambda reader, *_: PrintingPlanner(reader), (Edition, Printing)
    ),
    ListKind.PLACES: _ListFormat(
        PLACE_COLUMNS, parse_shelf, lambda reader, *_: PlacePlanner(reader.all(Place), Provisional()), (Place,)
    ),
    ListKind.COPIES: _ListFormat(COPY_COLUMNS, parse_copy, CopyPlanner, (Edition, Printing, Copy, Box)),
    ListKind.BOXES: _ListFormat(BOX_COLUMNS, parse_box, lambda reader, *_: BoxPlanner(reader), (Box, Consignment)),
    ListKind.CONSIGNMENT: _ListFormat(
        CONSIGNMENT_COLUMNS, parse_consignment, lambda reader, on, _: ConsignmentPlanner(reader, on), (Box, Consignment)
    ),
}

COLUMNS: Mapping[ListKind, Sequence[ListColumn]] = {kind: form.columns for kind, form in _FORMATS.items()}
"""The columns that a list of each kind may have."""

_ACTIONS = {kind: ActionKind[f"IMPORT_{kind.name}"] for kind in ListKind}
