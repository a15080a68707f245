"""A table in a text file: its separator found, its rows read as they are asked for, whatever the size of the file.

The form is RFC 4180, with any of four separators and any line ends. The separator is the one with which most rows have
the same number of cells, two or more; a first line `sep=;`, as spreadsheet programs write it, settles it. Does not know
what the columns mean.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterator
from io import StringIO
from itertools import islice
from pathlib import Path
from typing import TextIO

from intake.edges.exchange.table_cells import RawRow, TableFacts, TableKind
from intake.errors import FileError

DELIMITERS = ",;\t|"
SAMPLE_CHARACTERS = 1 << 18
SAMPLE_ROWS = 500
SEPARATOR_LINE = re.compile(r"\"?sep=(?P<mark>[,;\t|])\"?[,;\t|]*\r?\n", re.IGNORECASE)
FORMULA = re.compile("'*[=+\\-@\t\r]")
"""What a spreadsheet program may run (OWASP, CSV injection), with the apostrophes already before it."""
UNFORMULA = re.compile(r'\s*="(?P<text>[^"]*)"\s*')
"""A text that was written as a formula, so that a spreadsheet leaves its zeros alone."""


class TextTable:
    """The rows of a text file.

    Args:
        path: the file.
        codec: its encoding, checked.

    Raises:
        FileError: it cannot be read; while iterating, where a quotation mark is never closed.
    """

    def __init__(self, path: Path, codec: str) -> None:
        self.path = path
        with opened(path, codec) as file:
            sample = file.read(SAMPLE_CHARACTERS)
        told = SEPARATOR_LINE.match(sample)
        self._is_told = told is not None
        delimiter = told["mark"] if told is not None else find_delimiter(sample)
        letters = (
            "" if codec.startswith("utf") else next((text for text in sample.splitlines() if not text.isascii()), "")
        )
        self.facts = TableFacts(
            TableKind.TEXT,
            codec=codec,
            letters=letters.strip(),
            delimiter=delimiter,
            ends_in_line=ends_in_line(path),
        )

    def __iter__(self) -> Iterator[RawRow]:
        """Yield the rows that are not blank.

        Raises:
            FileError: a quotation mark is never closed, a cell is far too long, or the file cannot be read any more.
        """
        line = 1
        try:
            with opened(self.path, self.facts.codec) as file:
                if self._is_told:
                    file.readline()
                    line = 2
                reader = csv.reader(file, delimiter=self.facts.delimiter, strict=True)
                first = line
                for cells in reader:
                    began, line = line, first + reader.line_num
                    if any(cell.strip() for cell in cells):
                        yield RawRow(began, tuple(cells), line - began)
        except csv.Error as error:
            raise _not_csv(self.path, line, error, is_one_line=first + reader.line_num <= line + 1) from error
        except UnicodeDecodeError as error:
            raise FileError(str(self.path), "was changed while it was read", "repeat the step") from error
        except OSError as error:
            raise unreadable(self.path, error) from error


def _not_csv(path: Path, line: int, error: csv.Error, *, is_one_line: bool) -> FileError:
    """Return the error for a row that is no CSV; a cell that is too long on one line has no quotation mark to blame."""
    if is_one_line and str(error).startswith("field larger than field limit"):
        why = f"has a cell of more than {csv.field_size_limit():,} characters on line {line}"
        return FileError(str(path), why, "shorten that cell")
    why = f"is not valid CSV (line {line}: {error})"
    return FileError(str(path), why, "close the quotation mark there, or shorten the cell")


def find_delimiter(sample: str) -> str:
    r"""Return the separator with which most rows of a text have the same number of cells.

    >>> find_delimiter("Titel;Preis\nRot, blau;12,50\nGrau;3,00\n")
    ';'
    """
    return max(DELIMITERS, key=lambda delimiter: _constancy(sample, delimiter))


def _constancy(sample: str, delimiter: str) -> tuple[float, int]:
    """Return the share of rows that have the commonest number of cells, and that number; 0 for a single column."""
    counts: Counter[int] = Counter()
    # Lines as a file gives them: a cell may hold other separators of lines, such as U+2028.
    reader = csv.reader(StringIO(sample, newline=""), delimiter=delimiter, strict=True)
    try:
        counts.update(len(cells) for cells in islice(reader, SAMPLE_ROWS) if any(cell.strip() for cell in cells))
    except csv.Error:
        if len(sample) < SAMPLE_CHARACTERS and reader.line_num < sample.count("\n"):
            return (0.0, 0)
    wide = {columns: count for columns, count in counts.items() if columns > 1}
    if not wide:
        return (0.0, 0)
    columns = max(wide, key=lambda columns: (wide[columns], columns))
    return wide[columns] / counts.total(), columns


def plain_text(text: str) -> str:
    """Take off the apostrophe that keeps a cell from being run as a formula.

    >>> plain_text("'=1+1"), plain_text("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if text.startswith("'") and FORMULA.match(text) else text


def opened(path: Path, codec: str) -> TextIO:
    """Open a text file."""
    try:
        return path.open(encoding=codec, newline="")
    except OSError as error:
        raise unreadable(path, error) from error


def ends_in_line(path: Path) -> bool:
    """Return whether a text file, of one byte a character or more, ends without a line end."""
    try:
        with path.open("rb") as file:
            file.seek(max(0, path.stat().st_size - 4))
            # The other bytes of a line end of UTF-16 and UTF-32 are zeros.
            return not file.read().replace(b"\0", b"").endswith((b"\n", b"\r"))
    except OSError as error:
        raise unreadable(path, error) from error


def unreadable(path: Path, error: OSError) -> FileError:
    """Return the error for a file that the system does not let us read."""
    return FileError(str(path), f"cannot be read ({error.strerror})", "check the path")
