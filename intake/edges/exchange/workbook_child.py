"""Reads one sheet of a workbook and writes its rows as lines of JSON; run as a process of its own, by its file name.

The library that reads workbooks ends its process when a file makes it ask for too much memory, so it never runs in
ours. Alone: this file imports nothing of the program.

Arguments: path of the workbook, name of the sheet ('' for the first that is visible and has cells), path to write to,
memory limit in bytes, most characters in a cell. The first line written is an object of facts, every other one a row:
its number and its cells. A day is {"d": "2026-03-31"}. Exit status 3 and an object {"error": …} mean that it cannot be
read.
"""

import json
import sys
from datetime import date, datetime, time, timedelta
from typing import Any, TextIO

import python_calamine

try:
    import resource
except ImportError:  # Windows has no such limits; the look into the file beforehand remains.
    resource = None  # type: ignore[assignment] # the module or nothing

CANNOT_READ = 3
MOST_RANGES = 20
CPU_SECONDS = 120


class RefusedWorkbookError(Exception):
    """The workbook cannot be read; carries what is reported."""

    def __init__(self, error: str, **facts: Any) -> None:
        super().__init__(error)
        self.report = {"error": error, **facts}


def main() -> int:
    """Read a workbook as the arguments say; return the exit status."""
    path, sheet_name, target, memory, longest = sys.argv[1:6]
    if resource is not None:
        resource.setrlimit(resource.RLIMIT_AS, (int(memory), int(memory)))
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with open(target, "w", encoding="utf-8") as file:  # noqa: PTH123 - nothing else is needed of pathlib
        try:
            _write(path, sheet_name, file, int(longest))
        except RefusedWorkbookError as refused:
            file.write(json.dumps(refused.report) + "\n")
            return CANNOT_READ
        except python_calamine.PasswordError:
            file.write(json.dumps({"error": "password"}) + "\n")
            return CANNOT_READ
        except (python_calamine.CalamineError, MemoryError, ValueError, OSError) as error:
            kind = "memory" if isinstance(error, MemoryError) else "damaged"
            file.write(json.dumps({"error": kind, "text": str(error)}) + "\n")
            return CANNOT_READ
    return 0


def _write(path: str, sheet_name: str, file: TextIO, longest: int) -> None:
    workbook = _opened(path)
    visible = {
        sheet.name for sheet in workbook.sheets_metadata if sheet.visible is python_calamine.SheetVisibleEnum.Visible
    }
    filled = [name for name in workbook.sheet_names if _has_cells(workbook, name)]
    if sheet_name and sheet_name not in workbook.sheet_names:
        raise RefusedWorkbookError("no sheet", names=workbook.sheet_names)
    if not filled or (sheet_name and sheet_name not in filled):
        raise RefusedWorkbookError("empty")
    chosen = sheet_name or next((name for name in filled if name in visible), filled[0])
    sheet = workbook.get_sheet_by_name(chosen)
    merged = sheet.merged_cell_ranges or []
    facts = {
        "sheet": chosen,
        "others": [name for name in filled if name != chosen],
        "merged": [[*first, *last] for first, last in merged[:MOST_RANGES]],
        "merged_count": len(merged),
    }
    file.write(json.dumps(facts) + "\n")
    # The library leaves out the empty columns before the table, though not the empty rows above it.
    before = [""] * (sheet.start[1] if sheet.start is not None else 0)
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = [*before, *(_as_json(value) for value in row)]
        while cells and cells[-1] == "":
            cells.pop()
        if any(cell != "" and not (isinstance(cell, str) and cell.isspace()) for cell in cells):
            for place, cell in enumerate(cells):
                if isinstance(cell, str) and len(cell) > longest:
                    raise RefusedWorkbookError("long cell", row=number, place=place)
            file.write(json.dumps([number, cells]) + "\n")


def _opened(path: str) -> python_calamine.CalamineWorkbook:
    """Open a workbook by its suffix, and where that is another's, by its content."""
    try:
        return python_calamine.CalamineWorkbook.from_path(path)
    except python_calamine.PasswordError:
        raise
    except python_calamine.CalamineError:
        with open(path, "rb") as file:  # noqa: PTH123 - as above
            return python_calamine.CalamineWorkbook.from_filelike(file)


def _has_cells(workbook: python_calamine.CalamineWorkbook, name: str) -> bool:
    sheet = workbook.get_sheet_by_name(name)
    return sheet.start is not None and sheet.height > 0


def _as_json(value: object) -> object:
    if isinstance(value, str | bool):
        return value
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < 1e15 else value
    if isinstance(value, datetime):
        return {"d": value.date().isoformat()} if value.time() == time() else value.isoformat(sep=" ")
    if isinstance(value, date):
        return {"d": value.isoformat()}
    if isinstance(value, time | timedelta):
        return str(value)
    return value


if __name__ == "__main__":
    sys.exit(main())
