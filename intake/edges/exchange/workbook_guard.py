"""A look into a packed workbook before it is opened: what it would cost, counted while it is unpacked in small steps.

A file of 6 kB can make a reader ask for hundreds of gigabytes (one cell in the last corner of the sheet), and a zip
file unpacks to what it likes whatever its own figures say. Limits follow OWASP ASVS 4.0.3, 12.1.2 (compressed files are
checked against sizes and counts before they are used). A second bound is the memory limit of the process that reads.
"""

import html
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from intake.edges.exchange.table_cells import TableKind, column_place
from intake.errors import FileError

STEP_BYTES = 1 << 20
LARGEST_BYTES = 1 << 29
MOST_PARTS = 5_000
MOST_ROWS = 1_048_576
MOST_CELLS = 30_000_000
"""In the rectangle from A1 to the last cell, which a reader holds whole."""
CELL = re.compile(rb"""<(?:\w+:)?c\s[^<>]*?\br=["']([A-Z]{1,3})([0-9]{1,7})["']""")
ROW = re.compile(rb"<(?:\w+:)?row\b")
DECLARATION = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
FORMULA_TAG = re.compile(rb"<(?:\w+:)?f\b")
ERROR_CELL = re.compile(rb"""<(?:\w+:)?c\s[^<>]*?\bt=["']e["']""")
UNCOMPUTED = re.compile(
    rb"<(?:\w+:)?c\s([^<>]*)>\s*<(?:\w+:)?f\b(?:[^<>]*/>|[^<>]*>[^<]*</(?:\w+:)?f>)\s*"
    rb"(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v></(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
"""A cell with a formula and no value (ECMA-376-1, 18.3.1.4); of type str it has one, the empty text."""
TEXT_TYPE = re.compile(rb"""\bt=["']str["']""")
CELL_NAME = re.compile(rb"""\br=["']([A-Z]{1,3}[0-9]{1,7})["']""")
ODS_UNCOMPUTED = re.compile(rb"<table:table-cell\s(?=[^<>]*table:formula=)(?![^<>]*office:value-type=)")
MOST_NAMED = 20
ODS_FORMULA, ODS_ERROR, ODS_CURRENCY = b"table:formula=", b'calcext:value-type="error"', b"office:currency="
ODS_MERGED = re.compile(rb"""<table:table-cell\s[^<>]*?\bnumber-(?:columns|rows)-spanned=["'](?:[2-9]|[1-9][0-9])""")
"""A cell that covers others; the library that reads the workbook does not tell of them."""
ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
SHEET, RELATION = re.compile(r"<(?:\w+:)?sheet\s[^<>]*>"), re.compile(r"<(?:\w+:)?Relationship\s[^<>]*>")
ATTRIBUTE = re.compile(r"""([\w:]+)=["']([^"']*)["']""")
XLSX_PARTS = re.compile(
    r"xl/(?:worksheets/[^/]+\.xml|sharedStrings\.xml|styles\.xml|workbook\.xml|_rels/workbook\.xml\.rels)",
    re.IGNORECASE,
)


class PackedKind(StrEnum):
    """What a zip file holds that is not a workbook we read."""

    XLSB = "a binary workbook (XLSB)"
    TEXT = "a text document"
    SLIDES = "a presentation"
    OTHER = "other files"


@dataclass(slots=True)
class WorkbookCounts:
    """What was counted in a packed workbook; cells are named by the part that is their sheet."""

    formulas: int = 0
    errors: int = 0
    merged: int = 0
    without_value: int = 0
    currencies: int = 0
    failed: dict[str, list[str]] = field(default_factory=dict)
    uncomputed: dict[str, list[str]] = field(default_factory=dict)


def packed_kind(path: Path) -> TableKind | PackedKind:
    """Tell what a zip file is by the names of its parts.

    Raises:
        FileError: it is cut off or damaged.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            names = set(archive.namelist())
            if "mimetype" in names and archive.getinfo("mimetype").file_size < 200:
                found = archive.read("mimetype").strip()
                if found == ODS_TYPE:
                    return TableKind.ODS
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as error:
        raise damaged(path) from error
    marks: dict[str, TableKind | PackedKind] = {
        "xl/workbook.xml": TableKind.XLSX,
        "xl/workbook.bin": PackedKind.XLSB,
        "word/document.xml": PackedKind.TEXT,
        "ppt/presentation.xml": PackedKind.SLIDES,
    }
    return next((kind for mark, kind in marks.items() if mark in names), PackedKind.OTHER)


def check_workbook(path: Path, kind: TableKind) -> WorkbookCounts:
    """Look through the parts of a workbook that a reader opens.

    Raises:
        FileError: it unpacks to too much, reaches too far, or is damaged.
    """
    counts, unpacked = WorkbookCounts(), 0
    try:
        with zipfile.ZipFile(path) as archive:
            if len(archive.infolist()) > MOST_PARTS:
                raise FileError(str(path), f"is packed of more than {MOST_PARTS} parts", "save the table as CSV")
            for part in archive.infolist():
                if not _is_read(part.filename, kind):
                    continue
                sheet = _SheetSize(path, part.filename)
                formulas = _Formulas(part.filename, counts)
                for text in _pieces(archive, part):
                    unpacked += len(text)
                    if unpacked > LARGEST_BYTES:
                        why = f"unpacks to more than {LARGEST_BYTES >> 20} MB"
                        raise FileError(str(path), why, "save the table as CSV, or in parts")
                    if DECLARATION.search(text):
                        raise FileError(str(path), "declares entities, as no spreadsheet does", "save it as CSV")
                    _count(text, kind, counts)
                    sheet.add(text)
                    if kind is TableKind.XLSX:
                        formulas.add(text)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as error:
        raise damaged(path) from error
    return counts


def damaged(path: Path) -> FileError:
    """Return the error for a file that cannot be unpacked."""
    return FileError(str(path), "is cut off, damaged or locked with a password", "save it again, or as CSV")


def sheet_part(path: Path, name: str) -> str:
    """Return the part of an XLSX file that holds the sheet of this name, '' for none that was looked through."""
    try:
        with zipfile.ZipFile(path) as archive:
            book = archive.read("xl/workbook.xml").decode("utf-8", "replace")
            links = archive.read("xl/_rels/workbook.xml.rels").decode("utf-8", "replace")
    except KeyError:
        return ""
    targets = {one.get("Id"): one.get("Target", "") for one in map(_attributes, RELATION.findall(links))}
    for one in map(_attributes, SHEET.findall(book)):
        if one.get("name") == name and (target := targets.get(one.get("r:id"), "")):
            part = target.removeprefix("/") if target.startswith("/") else f"xl/{target}"
            return part if _is_read(part, TableKind.XLSX) else ""
    return ""


def _attributes(tag: str) -> dict[str, str]:
    return {name: html.unescape(text) for name, text in ATTRIBUTE.findall(tag)}


class _Formulas:
    """Names the cells of one sheet where a formula has failed or has no value."""

    def __init__(self, name: str, counts: WorkbookCounts) -> None:
        self._name = name
        self._counts = counts
        self._rest = b""

    def add(self, text: bytes) -> None:
        """Take the next piece of the part."""
        text = self._rest + text
        for tag in ERROR_CELL.findall(text):
            self._note(self._counts.failed, tag)
        if FORMULA_TAG.search(text):
            for tag in UNCOMPUTED.findall(text):
                if not TEXT_TYPE.search(tag):
                    self._counts.without_value += 1
                    self._note(self._counts.uncomputed, tag)
        end = max(text.rfind(b"</c>"), text.rfind(b":c>"))
        self._rest = text[end:] if end >= 0 and len(text) - end < STEP_BYTES else b""

    def _note(self, named: dict[str, list[str]], tag: bytes) -> None:
        cells = named.setdefault(self._name, [])
        match = CELL_NAME.search(tag)
        if match and len(cells) < MOST_NAMED and (name := match[1].decode()) not in cells:
            cells.append(name)


class _SheetSize:
    """Counts how far the cells of one sheet reach."""

    def __init__(self, path: Path, name: str) -> None:
        self._path = path
        self._is_sheet = "worksheets" in name.casefold()
        self._rows = self._down = self._across = 0
        self._column = b"A"

    def add(self, text: bytes) -> None:
        """Take the next piece of the part."""
        if not self._is_sheet:
            return
        self._rows += len(ROW.findall(text))
        cells = CELL.findall(text)
        if cells:
            self._down = max(self._down, *(int(row) for _, row in cells), 0)
            for column in {column for column, _ in cells}:
                if (place := column_place(column.decode()) + 1) > self._across:
                    self._across, self._column = place, column
        if self._rows > MOST_ROWS:
            raise FileError(str(self._path), f"has more than {MOST_ROWS:,} rows in a sheet", "save it in parts")
        if self._down * self._across > MOST_CELLS:
            last = f"{self._column.decode()}{self._down}"
            why = f"reaches as far as cell {last}, {self._down * self._across:,} cells"
            raise FileError(
                str(self._path), why, "delete the stray cells beside and below the table, or save it as CSV"
            )


def _count(text: bytes, kind: TableKind, counts: WorkbookCounts) -> None:
    if kind is TableKind.ODS:
        counts.formulas += text.count(ODS_FORMULA)
        counts.errors += text.count(ODS_ERROR)
        counts.without_value += len(ODS_UNCOMPUTED.findall(text))
        counts.merged += len(ODS_MERGED.findall(text))
        counts.currencies += text.count(ODS_CURRENCY)
    else:
        counts.formulas += len(FORMULA_TAG.findall(text))
        counts.errors += len(ERROR_CELL.findall(text))


def _is_read(name: str, kind: TableKind) -> bool:
    return name == "content.xml" if kind is TableKind.ODS else XLSX_PARTS.fullmatch(name) is not None


def _pieces(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """Yield a part piece by piece, no tag cut in two."""
    rest = b""
    with archive.open(part) as file:
        while chunk := file.read(STEP_BYTES):
            text = rest + chunk
            cut = text.rfind(b"<")
            if cut <= 0 or len(text) - cut > STEP_BYTES:
                cut = len(text)
            rest = text[cut:]
            yield text[:cut]
    yield rest
