"""The rows of a list made into what its planner takes; all that is wrong with a row is found at once.

Cells that a record can do without (`field_forms.is_soft`) may be left empty where a person says so, each of them named.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from intake.edges.csv_rows import RowFault, SheetRow
from intake.edges.exchange.record_remarks import RecordFault
from intake.flow.lists.columns import CellFault, Cells
from intake.flow.lists.field_forms import is_soft
from intake.flow.lists.reasons import BadRow, CellError, RowReason, bad_row_of

ListedRow = SheetRow | RowFault | RecordFault | BadRow
"""A row as a file gives it, or why it gives none."""
NAMES = ("key", "isbn", "copy")
"""The cells of which one names the edition of a copy."""


@dataclass(slots=True)
class ParsedRows:
    """The rows of a lot.

    Attributes:
        good: those that can be used, with their lines.
        bad: those that cannot.
        emptied: what was wrong with cells that were left empty, each by itself.
    """

    good: list[tuple[int, Any]] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)
    emptied: list[BadRow] = field(default_factory=list)


def parse_rows(
    rows: Iterable[ListedRow],
    headings: Mapping[str, str],
    parse: Callable[[Cells], Any],
    *,
    empty_bad_cells: bool = False,
) -> ParsedRows:
    """Parse rows.

    Args:
        rows: as the file gives them.
        headings: by field.
        parse: what makes a row of them.
        empty_bad_cells: whether to leave cells empty that a record can do without and that cannot be read.
    """
    parsed = ParsedRows()
    for row in rows:
        if isinstance(row, RowFault):
            facts = {"cells": row.cells, "columns": row.columns}
            parsed.bad.append(BadRow(row.line, RowReason.TOO_MANY_CELLS, facts))
        elif isinstance(row, RecordFault):
            parsed.bad.append(BadRow(row.line, RowReason(f"record_{row.problem.value}"), row.facts))
        elif row.cells is None:
            assert isinstance(row, BadRow)  # noqa: S101 - a row of a sheet has cells
            parsed.bad.append(row)
        else:
            _add(parsed, row, row.cells, headings, parse, empty_bad_cells=empty_bad_cells)
    return parsed


def _add(
    parsed: ParsedRows,
    row: SheetRow | BadRow,
    cells: Mapping[str, str],
    headings: Mapping[str, str],
    parse: Callable[[Cells], Any],
    *,
    empty_bad_cells: bool,
) -> None:
    faults = list(row.faults) if isinstance(row, BadRow) else []
    unread = {fault.field for fault in faults}
    found: list[CellFault] = []
    made: Any = None
    is_whole = True
    try:
        made = parse(Cells(cells, headings, found))
    except CellError as error:
        is_whole = False
        found.append(("", error))
    faults += (
        BadRow(row.line, fault.reason, fault.facts, name)
        for name, fault in found
        if not unread.intersection(_missing(name, fault))
    )
    if is_whole and not faults:
        parsed.good.append((row.line, made))
    elif is_whole and empty_bad_cells and all(is_soft(fault.field) for fault in faults):
        parsed.emptied += faults
        parsed.good.append((row.line, made))
    else:
        parsed.bad.append(bad_row_of(faults))


def _missing(name: str, fault: CellError) -> tuple[str, ...]:
    """Return the fields that are missing where a fault is that: it is none of its own if their cells are unreadable."""
    if fault.reason is RowReason.NO_EDITION_NAMED:
        return NAMES
    return (name, str(fault.facts.get("field", ""))) if fault.reason is RowReason.EMPTY else ()
