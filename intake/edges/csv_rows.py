"""Read a CSV file row by row, whatever its size.

The file is looked through once when it is opened, so that a wrong encoding is refused before a row of it is used, and
read again for every time its rows are asked for; no more than one row is kept. Encodings are never guessed: what is not
Unicode is refused with the place, because a wrong guess spoils titles for good. Does not know what the columns mean.
"""

import codecs
import csv
import re
from collections.abc import Generator, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from intake.errors import FileError

DELIMITERS = ",;\t"
FORMULA = re.compile("'*[=+\\-@\t\r]")
"""What a spreadsheet program may run (OWASP, CSV injection), with the apostrophes already before it."""
CHUNK_BYTES = 1 << 20


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
    """A CSV file with a header, UTF-8 with or without a byte order mark, or UTF-16 with one.

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
            self._encoding = _checked_encoding(path)
            self._delimiter = self._find_delimiter()
            with closing(self._records()) as records:
                _, self.header = next(records, (0, ()))
        except OSError as error:
            raise _unreadable(path, error) from error

    def __iter__(self) -> Iterator[SheetRow | RowFault]:
        """Yield the rows after the header, in the order of the file.

        Raises:
            FileError: a quotation mark is never closed, or the file cannot be read any more.
        """
        columns = len(self.header)
        records = self._records()
        try:
            next(records, None)
            for line, cells in records:
                if len(cells) > columns and any(cell.strip() for cell in cells[columns:]):
                    yield RowFault(line, len(cells), columns)
                else:
                    padded = [*map(plain_text, cells[:columns]), *[""] * (columns - len(cells))]
                    yield SheetRow(line, dict(zip(self.header, padded, strict=True)))
        except OSError as error:
            raise _unreadable(self.path, error) from error
        except UnicodeDecodeError as error:
            raise FileError(str(self.path), "was changed while it was read", "repeat the step") from error

    def _records(self) -> Generator[tuple[int, tuple[str, ...]], None, None]:
        """Yield each row that is not blank, with the line it begins on; the first is the header, checked."""
        line, header_seen = 1, False
        with self.path.open(encoding=self._encoding, newline="") as file:
            reader = csv.reader(file, delimiter=self._delimiter, strict=True)
            try:
                for cells in reader:
                    began, line = line, reader.line_num + 1
                    if not any(cell.strip() for cell in cells):
                        continue
                    yield began, tuple(cells) if header_seen else _header(self.path, began, cells)
                    header_seen = True
            except csv.Error as error:
                why = f"is not valid CSV (line {line}: {error})"
                raise FileError(str(self.path), why, "close the quotation mark there") from error

    def _find_delimiter(self) -> str:
        """Return the delimiter that the first line with letters has most often outside quotation marks."""
        with self.path.open(encoding=self._encoding) as file:
            first = next(line for part in file for line in part.splitlines() if line.strip())
        bare = re.sub(r'"[^"]*"', "", first)
        return max(DELIMITERS, key=bare.count)


def plain_text(text: str) -> str:
    """Take off the apostrophe that keeps a cell from being run as a formula.

    >>> plain_text("'=1+1"), plain_text("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if text.startswith("'") and FORMULA.match(text) else text


def _checked_encoding(path: Path) -> str:
    """Return the encoding of a file after looking through all of it."""
    line, blank = 1, True
    with path.open("rb") as file:
        start = file.read(2)
        encoding = "utf-16" if start in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE) else "utf-8-sig"
        decoder = codecs.getincrementaldecoder(encoding)()
        chunk: bytes = start + file.read(CHUNK_BYTES)
        while True:
            try:
                text = decoder.decode(chunk, final=not chunk)
            except UnicodeDecodeError as error:
                name = encoding.removesuffix("-sig").upper()
                found = error.object
                at = line + found[: error.start].count(b"\n")
                why = f"is not {name} text (byte 0x{found[error.start]:02X} on line {at})"
                raise FileError(str(path), why, "save it again as 'CSV UTF-8'") from error
            if "\0" in text:
                at = line + text[: text.index("\0")].count("\n")
                raise FileError(str(path), f"holds a NUL byte on line {at}", "save it again as 'CSV UTF-8'")
            line += text.count("\n")
            blank = blank and not text.strip()
            if not chunk:
                break
            chunk = file.read(CHUNK_BYTES)
    if blank:
        raise FileError(str(path), "is empty", "give a table with a header")
    return encoding


def _header(path: Path, line: int, cells: list[str]) -> tuple[str, ...]:
    names = [plain_text(cell).strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    for place, name in enumerate(names, start=1):
        if not name:
            raise FileError(str(path), f"has no name over column {place} (line {line})", "name every column")
        if names.count(name) > 1:
            raise FileError(str(path), f"has two columns named '{name}' (line {line})", "rename one of them")
    return tuple(names)


def _unreadable(path: Path, error: OSError) -> FileError:
    return FileError(str(path), f"cannot be read ({error.strerror})", "check the path")
