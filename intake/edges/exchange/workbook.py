"""A sheet of a workbook (XLSX, XLS, ODS), read by a process of its own with a bound on its memory.

The rows wait in a temporary file, so that they can be read twice. Days before 1 March 1900 in XLSX and XLS are not
trusted: their serial numbers count a 29 February 1900 that never was.
"""

import json
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from intake.edges.exchange import workbook_child
from intake.edges.exchange.table_cells import LONGEST_CELL, RawRow, TableFacts, TableKind, column_letters
from intake.edges.exchange.workbook_guard import WorkbookCounts, check_workbook, damaged, sheet_part
from intake.edges.temp_files import temporary_file
from intake.errors import FileError

if TYPE_CHECKING:
    from intake.edges.exchange.cell_currencies import CellCurrencies

MEMORY_BYTES = 3 << 29
"""1.5 GB of addresses; 100,000 rows of 8 cells take a tenth of it."""
MOST_SECONDS = 300


class WorkbookTable:
    """The rows of a sheet that a child process has written down."""

    def __init__(self, path: Path, facts: TableFacts, rows: Path, currencies: "CellCurrencies | None") -> None:
        self.path = path
        self.facts = facts
        self._rows = rows
        self._currencies = currencies

    def __iter__(self) -> Iterator[RawRow]:
        """Yield the rows that are not blank."""
        with self._rows.open(encoding="utf-8") as file:
            next(file)
            for text in file:
                line, cells = json.loads(text, object_hook=_day)
                signs = self._currencies.of_row(line) if self._currencies is not None else {}
                yield RawRow(line, tuple(cells), signs=signs)


@contextmanager
def open_workbook(path: Path, kind: TableKind, sheet: str = "") -> Iterator[WorkbookTable]:
    """Read a sheet, and give it away until the end of the block.

    Args:
        path: the workbook.
        kind: its form.
        sheet: its name; '' for the first that is visible and has cells.

    Raises:
        FileError: the workbook is damaged, locked, empty, too large, or has no such sheet.
    """
    facts = TableFacts(kind, has_serial_days=kind is not TableKind.ODS)
    counts = check_workbook(path, kind) if kind is not TableKind.XLS else WorkbookCounts()
    with temporary_file("rows.json") as rows:
        status = _run(path, sheet, rows)
        with rows.open(encoding="utf-8") as file:
            first = file.readline()
        if status == workbook_child.CANNOT_READ:
            raise _refusal(path, sheet, _report(rows))
        if status != 0:
            why = f"needs more than {MEMORY_BYTES >> 20} MB of memory to be opened, or is damaged"
            raise FileError(str(path), why, "save the table as CSV")
        found = json.loads(first)
        facts = replace(
            facts,
            sheet=found["sheet"],
            other_sheets=tuple(found["others"]),
            merged=tuple(_range(*corners) for corners in found["merged"]),
            merged_count=found["merged_count"] or counts.merged,
            formulas=counts.formulas,
            errors=counts.errors,
            without_value=counts.without_value,
        )
        if counts.failed or counts.uncomputed:
            part = sheet_part(path, facts.sheet)
            failed, uncomputed = (tuple(cells.get(part, ())) for cells in (counts.failed, counts.uncomputed))
            facts = replace(facts, failed=failed, uncomputed=uncomputed)
        yield WorkbookTable(path, facts, rows, _currencies(path, facts, counts))


def _currencies(path: Path, facts: TableFacts, counts: WorkbookCounts) -> "CellCurrencies | None":
    if facts.kind is TableKind.XLS or (facts.kind is TableKind.ODS and not counts.currencies):
        return None
    from intake.edges.exchange.cell_currencies import cell_currencies  # noqa: PLC0415 - loads the XML library

    return cell_currencies(path, facts.kind, facts.sheet)


def _run(path: Path, sheet: str, rows: Path) -> int:
    rows.touch()
    script = Path(workbook_child.__file__)
    command = [sys.executable, "-P", str(script), str(path.resolve()), sheet, str(rows)]
    try:
        return subprocess.run(  # noqa: S603 - our own program and file; nothing goes through a shell
            [*command, str(MEMORY_BYTES), str(LONGEST_CELL)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=MOST_SECONDS,
            check=False,
        ).returncode
    except subprocess.TimeoutExpired as error:
        why = f"took longer than {MOST_SECONDS} seconds to be opened"
        raise FileError(str(path), why, "save the table as CSV") from error


def _report(rows: Path) -> Mapping[str, Any]:
    report: Mapping[str, Any] = json.loads(rows.read_text(encoding="utf-8").splitlines()[-1])
    return report


def _refusal(path: Path, sheet: str, report: Mapping[str, Any]) -> FileError:
    file = str(path)
    if report["error"] == "no sheet":
        names = ", ".join(repr(name) for name in report["names"])
        return FileError(
            file, f"has no sheet {sheet!r}", (f"name one of {names} with --sheet", f"choose one of {names}")
        )
    if report["error"] == "empty":
        return FileError(
            file, f"has no cells in sheet {sheet!r}" if sheet else "is empty", "give a table with headings"
        )
    if report["error"] == "long cell":
        cell = f"{column_letters(report['place'])}{report['row']}"
        return FileError(file, f"has more than {LONGEST_CELL:,} characters in cell {cell}", "shorten it")
    if report["error"] == "memory":
        return FileError(file, f"needs more than {MEMORY_BYTES >> 20} MB of memory to be opened", "save it as CSV")
    if report["error"] == "password":
        return FileError(file, "is locked with a password", "save it without one")
    return damaged(path)


def _day(cell: dict[str, str]) -> date:
    return date.fromisoformat(cell["d"])


def _range(top: int, left: int, bottom: int, right: int) -> str:
    return f"{column_letters(left)}{top + 1}:{column_letters(right)}{bottom + 1}"
