"""A table as a file has it: rows of cells, before anybody has said what the columns mean.

A workbook knows which cells are numbers and which are dates; a text file knows text alone.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Protocol

Cell = str | bool | int | float | date
"""Text as it stands (empty for an empty cell), or what a workbook knows to be a number, a day, or true or false."""

LONGEST_CELL = 131_072
"""Most characters of one cell, as Python's csv has it; no title is so long."""


class TableKind(StrEnum):
    """The form of a file that holds a table."""

    TEXT = "CSV"
    XLSX = "XLSX"
    XLS = "XLS"
    ODS = "ODS"


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row that is not blank.

    Attributes:
        line: where it begins in the file or sheet, from 1.
        cells: from the first column on.
        lines: count of the lines that it takes; more than one where a cell of a text file has line breaks.
        signs: the currency, or a sign that several share, that the format of a workbook's cell shows, by place.
    """

    line: int
    cells: tuple[Cell, ...]
    lines: int = 1
    signs: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TableFacts:
    """How a table was found in its file.

    Attributes:
        kind: the form of the file.
        codec: Python's name of the encoding of a text file; empty for a workbook.
        letters: of a text file that is not Unicode, the first line with letters that its encoding decides.
        delimiter: what separates the cells of a text file.
        ends_in_line: whether a text file ends without a line end, as one does that was cut short.
        sheet: name of the sheet that is read.
        other_sheets: names of the sheets with cells that are not read.
        merged: ranges of merged cells of which only the first holds the text, such as "A1:D1"; at most 20.
        merged_count: count of all of them; of ODS, which does not name the ranges, of those in all sheets.
        formulas: count of the cells whose last computed value is read.
        errors: count of the cells where a formula has failed; they are read as empty.
        failed: those of the sheet that is read, such as "B3"; at most 20, and none of XLS and ODS.
        without_value: count of the formulas whose value nobody has computed; they are read as empty.
        uncomputed: those of the sheet that is read, as for `failed`.
        has_serial_days: whether days are counted from 1900, so that none before 1 March 1900 can be trusted.
    """

    kind: TableKind
    codec: str = ""
    letters: str = ""
    delimiter: str = ""
    ends_in_line: bool = False
    sheet: str = ""
    other_sheets: tuple[str, ...] = ()
    merged: tuple[str, ...] = ()
    merged_count: int = 0
    formulas: int = 0
    errors: int = 0
    failed: tuple[str, ...] = ()
    without_value: int = 0
    uncomputed: tuple[str, ...] = ()
    has_serial_days: bool = False


class RawTable(Protocol):
    """A table that can be read from its start as often as is needed."""

    @property
    def path(self) -> Path:
        """Return where the file is."""

    @property
    def facts(self) -> TableFacts:
        """Return how the table was found in its file."""

    def __iter__(self) -> Iterator[RawRow]:
        """Yield the rows that are not blank, in order."""


def column_letters(place: int) -> str:
    """Return how a spreadsheet names a column, counted from 0.

    >>> column_letters(0), column_letters(25), column_letters(26), column_letters(16_383)
    ('A', 'Z', 'AA', 'XFD')
    """
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_place(letters: str) -> int:
    """Return the place of the column that a spreadsheet names so, counted from 0.

    >>> column_place("A"), column_place("Z"), column_place("AA"), column_place("XFD")
    (0, 25, 26, 16383)
    """
    place = 0
    for letter in letters:
        place = place * 26 + ord(letter) - ord("A") + 1
    return place - 1
