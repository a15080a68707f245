"""A catalog of 100,000 editions as CSV, XLSX, XLS and ODS, imported through the command: seconds and memory.

    python -m tests.benchmarks.import_tables [--editions 100000] [--kinds csv,xlsx,xls,ods]

XLS holds 65,535 rows. The memory is the largest of the command and of the process that reads the workbook; the bound of
the project is 500 MB and 40 seconds on an idle machine.
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import xlsxwriter
import xlwt
from odf import opendocument, table, text
from stdnum import ean

HEADINGS = ("Kennung", "Titel", "Autor", "Verlag", "Jahr", "ISBN", "Höhe (cm)", "Preis")
MOST_XLS_ROWS = 65_535
Cells = tuple[str | int | float, ...]


def rows(count: int) -> Iterator[Cells]:
    """Yield the headings and invented editions."""
    yield HEADINGS
    for nth in range(1, count + 1):
        number = f"9798{nth:08}"
        number += ean.calc_check_digit(number)
        title, person = f"Gräser der Insel {nth}", f"Person {nth % 997}"
        yield f"K{nth}", title, person, f"Haus {nth % 97}", 1900 + nth % 120, number, 20 + nth % 150 / 10, 12.5


def write_csv(path: Path, count: int) -> None:
    """Write a semicolon file in Windows-1252 with decimal commas."""
    with path.open("w", encoding="cp1252", newline="\r\n") as file:
        for row in rows(count):
            file.write(";".join(str(cell).replace(".", ",") for cell in row) + "\n")


def write_xlsx(path: Path, count: int) -> None:
    """Write with xlsxwriter."""
    with xlsxwriter.Workbook(path, {"constant_memory": True}) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows(count)):
            sheet.write_row(number, 0, row)


def write_xls(path: Path, count: int) -> None:
    """Write with xlwt."""
    book = xlwt.Workbook()
    sheet = book.add_sheet("A")
    for number, row in enumerate(rows(min(count, MOST_XLS_ROWS))):
        for place, cell in enumerate(row):
            sheet.write(number, place, cell)
    book.save(str(path))


def write_ods(path: Path, count: int) -> None:
    """Write with odfpy."""
    book = opendocument.OpenDocumentSpreadsheet()
    sheet = table.Table(name="A")
    for row in rows(count):
        line = table.TableRow()
        for cell in row:
            kind = {"valuetype": "string"} if isinstance(cell, str) else {"valuetype": "float", "value": cell}
            field = table.TableCell(**kind)
            field.addElement(text.P(text=str(cell)))
            line.addElement(field)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))


WRITERS: dict[str, Callable[[Path, int], None]] = {
    "csv": write_csv,
    "xlsx": write_xlsx,
    "xls": write_xls,
    "ods": write_ods,
}


def main() -> None:
    """Write, import and print what each cost."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.import_tables")
    parser.add_argument("--editions", type=int, default=100_000)
    parser.add_argument("--kinds", default=",".join(WRITERS))
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for kind in arguments.kinds.split(","):
            path = Path(folder) / f"catalog.{kind}"
            WRITERS[kind](path, arguments.editions)
            command = [sys.executable, "-m", "intake", "--library", f"{folder}/{kind}", "import", "editions", str(path)]
            before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
            done = subprocess.run(command, check=True, capture_output=True, text=True, env={**os.environ})
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            busy = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            wall, memory = time.monotonic() - began, after.ru_maxrss / 1024
            print(f"{kind}: {busy:.1f} s of the processor, {wall:.1f} s, at most {memory:.0f} MB so far")
            print(f"  {done.stdout.splitlines()[-1]}")


if __name__ == "__main__":
    main()
