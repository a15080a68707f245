"""One file of a person's lists: read, planned, and applied in one transaction, or only shown.

All or nothing: a single bad row leaves the library as it was, unless the person says to leave the bad rows out.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import partial
from typing import TypeVar

from intake.edges.sheets import Table
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.editions import editions_like, printings_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LibraryWriter
from intake.errors import RefusedError
from intake.flow.lists.boxes import (
    BOX_COLUMNS,
    CONSIGNMENT_COLUMNS,
    parse_box,
    parse_consignment,
    plan_boxes,
    plan_consignments,
)
from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, map_columns, parse_rows
from intake.flow.lists.copies import COPY_COLUMNS, CopySources, parse_copy, plan_copies
from intake.flow.lists.editions import (
    EDITION_COLUMNS,
    PRINTING_COLUMNS,
    parse_edition,
    parse_printing,
    plan_editions,
    plan_printings,
)
from intake.flow.lists.places import PLACE_COLUMNS, parse_shelf, plan_places
from intake.flow.lookup import resolve
from intake.model.boxes import Box, Consignment
from intake.model.changes import Action, ActionKind, Change, LedgerEntry
from intake.model.editions import BookSet, Edition
from intake.model.identifiers import OwnKind
from intake.model.places import Place
from intake.model.valuations import Valuation

Parsed = TypeVar("Parsed")
Plan = tuple[list[Change], list[BadRow], int]


class ListKind(StrEnum):
    """What the rows of a list are."""

    EDITIONS = "editions"
    PRINTINGS = "printings"
    PLACES = "places"
    COPIES = "copies"
    BOXES = "boxes"
    CONSIGNMENT = "consignment"


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What an import did, or would do: `entry` is None after a dry run, a refusal, or where nothing changed."""

    changes: tuple[Change, ...]
    bad_rows: tuple[BadRow, ...]
    unchanged: int
    entry: LedgerEntry | None

    @property
    def made(self) -> int:
        """Count the records that are new."""
        return sum(change.before is None for change in self.changes)

    @property
    def altered(self) -> int:
        """Count the records that say something new."""
        return len(self.changes) - self.made


def import_table(
    library: Library,
    kind: ListKind,
    table: Table,
    *,
    file: str,
    mapping: Mapping[str, str] | None = None,
    dry_run: bool = False,
    skip_bad_rows: bool = False,
    station: str,
    today: date,
) -> ImportResult:
    """Import one list.

    Args:
        library: where to.
        kind: what the rows are.
        table: the rows.
        file: the file's name, for messages and the ledger.
        mapping: field to heading, where the headings are not the usual ones.
        dry_run: plan only.
        skip_bad_rows: import the good rows even if there are bad ones.
        station: who does it.
        today: the date of values that carry none.

    Raises:
        FileError: a required column is missing.
        UsageError: the mapping names an unknown field or heading.
    """
    columns, plan = _KINDS[kind]
    headings = map_columns(table.header, columns, file=file, mapping=mapping or {})
    with library.writing() as work:
        changes, bad, unchanged = plan(_ImportJob(work, table, headings, today))
        entry = None
        if changes and not dry_run and (skip_bad_rows or not bad):
            entry = work.apply(Action(_ACTIONS[kind], file, station=station), changes).entry
    return ImportResult(tuple(changes), tuple(sorted(bad, key=lambda row: row.line)), unchanged, entry)


@dataclass(frozen=True, slots=True)
class _ImportJob:
    work: LibraryWriter
    table: Table
    headings: Mapping[str, str]
    today: date

    def parse(self, parse: Callable[[Cells], Parsed]) -> tuple[list[tuple[int, Parsed]], list[BadRow]]:
        """Parse the table's rows; those that the file itself got wrong are bad rows too."""
        rows, bad = parse_rows(((row.line, row.cells) for row in self.table.rows), self.headings, parse)
        return rows, bad + [BadRow(fault.line, fault.reason) for fault in self.table.faults]


def _editions(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_edition)
    parsed = [edition for _, (edition, _) in rows]
    held = editions_like(
        job.work,
        keys=[edition.key for edition in parsed if edition.key],
        numbers=[edition.number for edition in parsed if edition.number],
        titles=[edition.title for edition in parsed if not edition.number and not edition.key],
    )
    changes, contradictions, unchanged = plan_editions(
        rows, held=held, sets=job.work.all(BookSet), new_id=job.work.new_id
    )
    return changes, bad + contradictions, unchanged


def _printings(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_printing)
    changes, unusable, unchanged = plan_printings(
        rows,
        find_edition=_edition_finder(job.work),
        printings_of=partial(printings_of, job.work),
        new_id=job.work.new_id,
    )
    return changes, bad + unusable, unchanged


def _copies(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_copy)
    sources = CopySources(
        find_edition=_edition_finder(job.work),
        box_number=_box_number,
        box=partial(job.work.get, Box),
        copies_in_box=partial(copies_in_box, job.work),
        printings_of=partial(printings_of, job.work),
        new_accession=lambda: resolve.new_number(job.work, OwnKind.COPY),
        new_valuation=lambda: job.work.new_id(Valuation),
    )
    changes, unusable, unchanged = plan_copies(rows, sources=sources, today=job.today)
    return changes, bad + unusable, unchanged


def _boxes(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_box)
    changes, unusable, unchanged = plan_boxes(
        rows,
        box_number=_box_number,
        held_box=partial(job.work.get, Box),
        consignment=partial(job.work.get, Consignment),
    )
    return changes, bad + unusable, unchanged


def _consignment(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_consignment)
    alone: list[Box] = [box for box in list_boxes(job.work) if box.consignment is None]
    changes, _, unchanged = plan_consignments(rows, held=partial(job.work.get, Consignment), boxes_without=alone)
    return changes, bad, unchanged


def _places(job: _ImportJob) -> Plan:
    rows, bad = job.parse(parse_shelf)
    changes, doubles, unchanged = plan_places(
        rows, held=job.work.all(Place), new_number=lambda: resolve.new_number(job.work, OwnKind.PLACE)
    )
    return changes, bad + doubles, unchanged


def _edition_finder(records: LibraryReader) -> Callable[[str], Edition]:
    known: dict[str, Edition] = {}

    def find(name: str) -> Edition:
        if name not in known:
            try:
                known[name] = resolve.find_edition(records, name)
            except RefusedError as refusal:
                raise CellError(str(refusal)) from refusal
        return known[name]

    return find


def _box_number(text: str) -> str:
    try:
        return resolve.own_number(text, OwnKind.BOX)
    except RefusedError as refusal:
        raise CellError(str(refusal)) from refusal


_KINDS: dict[ListKind, tuple[tuple[ListColumn, ...], Callable[[_ImportJob], Plan]]] = {
    ListKind.EDITIONS: (EDITION_COLUMNS, _editions),
    ListKind.PRINTINGS: (PRINTING_COLUMNS, _printings),
    ListKind.PLACES: (PLACE_COLUMNS, _places),
    ListKind.COPIES: (COPY_COLUMNS, _copies),
    ListKind.BOXES: (BOX_COLUMNS, _boxes),
    ListKind.CONSIGNMENT: (CONSIGNMENT_COLUMNS, _consignment),
}

_ACTIONS = {
    ListKind.EDITIONS: ActionKind.IMPORT_EDITIONS,
    ListKind.PRINTINGS: ActionKind.IMPORT_PRINTINGS,
    ListKind.PLACES: ActionKind.IMPORT_PLACES,
    ListKind.COPIES: ActionKind.IMPORT_COPIES,
    ListKind.BOXES: ActionKind.IMPORT_BOXES,
    ListKind.CONSIGNMENT: ActionKind.IMPORT_CONSIGNMENT,
}
