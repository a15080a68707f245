"""A CSV file of this program's own form: Unicode, its first row the names of the columns, no name twice.

Read row by row whatever its size, and again for every time its rows are asked for. A list in any other form is opened
with `exchange.list_file`. Does not know what the columns mean.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from intake.edges.exchange.table_cells import Cell
from intake.edges.exchange.text_encoding import check_encoding, unicode_encoding
from intake.edges.exchange.text_table import TextTable, plain_text, unreadable
from intake.errors import FileError


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row by column name; `line` is where it begins in the file, from 1."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class RowFault:
    """A row that has more cells than there are names of columns."""

    line: int
    cells: int
    columns: int

    @property
    def reason(self) -> str:
        """Say what is wrong with it, as a predicate."""
        return f"has {self.cells} cells under {self.columns} column names"


class CsvFile:
    """A CSV file with a header, in UTF-8 or UTF-16.

    Iterating reads it from its start: short rows are filled with empty cells, blank ones left out, over-long ones
    given as faults.

    Attributes:
        path: the file.
        header: names of the columns.

    Raises:
        FileError: when it cannot be read, is not Unicode text, or has no usable header; while iterating, where a
            quotation mark is never closed.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            codec = unicode_encoding(path)
            if codec is None:
                check_encoding(path, "utf-8-sig")
                raise FileError(str(path), "was changed while it was read", "repeat the step")
        except OSError as error:
            raise unreadable(path, error) from error
        self._table = TextTable(path, codec)
        first = next(iter(self._table), None)
        self.header = () if first is None else _header(path, first.line, first.cells)

    def __iter__(self) -> Iterator[SheetRow | RowFault]:
        """Yield the rows after the header, in the order of the file.

        Raises:
            FileError: a quotation mark is never closed, or the file cannot be read any more.
        """
        columns = len(self.header)
        rows = iter(self._table)
        next(rows, None)
        for row in rows:
            cells = [str(cell) for cell in row.cells]
            if len(cells) > columns and any(cell.strip() for cell in cells[columns:]):
                yield RowFault(row.line, len(cells), columns)
            else:
                padded = [*map(plain_text, cells[:columns]), *[""] * (columns - len(cells))]
                if any(cell.strip() for cell in padded):
                    yield SheetRow(row.line, dict(zip(self.header, padded, strict=True)))


def _header(path: Path, line: int, cells: tuple[Cell, ...]) -> tuple[str, ...]:
    names = [plain_text(str(cell)).strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    for place, name in enumerate(names, start=1):
        if not name:
            raise FileError(str(path), f"has no name over column {place} (line {line})", "name every column")
        if names.count(name) > 1:
            raise FileError(str(path), f"has two columns named '{name}' (line {line})", "rename one of them")
    return tuple(names)
