"""A catalog in a file, for reading pictures without a library: a list of any form, or records, as an import takes them.

The parsed rows of a large one are kept for the next time (`intake.edges.prepared_files`), so that it is parsed once.
"""

from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import islice
from pathlib import Path

import numpy as np
import numpy.typing as npt

from intake.edges.prepared_files import SMALLEST_BYTES, Arrays, PreparedFile
from intake.flow.lists.columns import Cells, ListColumn
from intake.flow.lists.editions import ISBN_HEADINGS, parse_number
from intake.flow.lists.headings import map_columns
from intake.flow.lists.import_file import NO_AUDIENCE, ListAudience, open_rows
from intake.flow.lists.import_list import ROWS_AT_ONCE, ListKind, ListRows
from intake.flow.lists.list_guess import ListReading
from intake.flow.lists.parsed_rows import parse_rows
from intake.flow.lists.reasons import CellError, RowReason
from intake.reading.code_book import CodeBook

VERSION = 1
"""Of the arrays in which the titles of a catalog are kept."""

_COLUMNS = (
    ListColumn("isbn", ("number", *ISBN_HEADINGS), required=True, words_of="number"),
    ListColumn("title", ("book title", "name"), required=True),
)


@dataclass(frozen=True, eq=False)
class TitleTable(Mapping[str, str]):
    """Title by 13-digit number, in little memory.

    Attributes:
        listed: (n,), the numbers as bytes, in order and without repetition.
        starts: (n + 1,), where in `text` the title of each begins, and the last ends.
        text: UTF-8, all titles one after the other.
        left_out: count of the rows that have no usable number or title.
    """

    listed: npt.NDArray[np.bytes_]
    starts: npt.NDArray[np.int64]
    text: bytes
    left_out: int

    @classmethod
    def of(cls, titles: Mapping[str, str], left_out: int) -> "TitleTable":
        """Make one of titles by number."""
        listed = sorted(titles)
        encoded = [titles[number].encode(errors="replace") for number in listed]
        starts = np.cumsum([0, *map(len, encoded)], dtype=np.int64)
        return cls(np.array(listed, "S13"), starts, b"".join(encoded), left_out)

    @classmethod
    def from_arrays(cls, arrays: Arrays) -> "TitleTable | None":
        """Take one from arrays that were kept; None where they cannot be such a table."""
        try:
            listed, starts, text, left_out = (arrays[name] for name in ("listed", "starts", "text", "left_out"))
        except KeyError:
            return None
        forms = (listed.dtype, starts.dtype, text.dtype, left_out.shape)
        if forms != (np.dtype("S13"), np.dtype(np.int64), np.dtype(np.uint8), ()) or starts.shape != (len(listed) + 1,):
            return None
        if (
            starts[0] != 0
            or starts[-1] != len(text)
            or (np.diff(starts) < 0).any()
            or (listed[:-1] >= listed[1:]).any()
        ):
            return None
        return cls(listed, starts, text.tobytes(), int(left_out))

    def arrays(self) -> Arrays:
        """Return what is kept of it."""
        text = np.frombuffer(self.text, np.uint8)
        return {"listed": self.listed, "starts": self.starts, "text": text, "left_out": np.array(self.left_out)}

    def __len__(self) -> int:
        return len(self.listed)

    def __iter__(self) -> Iterator[str]:
        return iter(self.numbers)

    @cached_property
    def numbers(self) -> list[str]:
        """All numbers, in order."""
        numbers: list[str] = self.listed.astype(str).tolist()
        return numbers

    def __getitem__(self, number: str) -> str:
        place = bisect_left(self.numbers, number)
        if place == len(self.listed) or self.numbers[place] != number:
            raise KeyError(number)
        return self.text[self.starts[place] : self.starts[place + 1]].decode(errors="replace")


@dataclass(frozen=True, eq=False)
class Catalog:
    """A catalog made ready for reading pictures: its titles, and the code book of its numbers, if it has any."""

    titles: TitleTable
    book: CodeBook | None


def read_catalog(
    path: Path, *, reading: ListReading | None = None, audience: ListAudience = NO_AUDIENCE, today: date
) -> Catalog:
    """Read a catalog file, or its parsed rows kept from an earlier run.

    Args:
        path: the file.
        reading: what the person has said of it; what was kept is of a file of which nothing was said.
        audience: who is asked what the file does not tell, and shown what was guessed of it.
        today: for years that are yet to come.

    Raises:
        FileError: the file cannot be read, has no column `isbn` or none `title`, or a question has no answer.
        UsageError: a heading or encoding was named that does not exist.
    """
    is_kept = reading in (None, ListReading()) and path.is_file() and path.stat().st_size >= SMALLEST_BYTES
    kept = PreparedFile(path, VERSION) if is_kept else None
    arrays = kept.load() if kept is not None else None
    titles = TitleTable.from_arrays(arrays) if arrays is not None else None
    if titles is None:
        with open_rows(path, ListKind.EDITIONS, _COLUMNS, reading=reading, audience=audience, today=today) as rows:
            titles = parse_titles(rows, file=str(path))
        if kept is not None:
            kept.save(titles.arrays())
    return Catalog(titles, CodeBook.of(titles.numbers) if titles else None)


def parse_titles(rows: ListRows, *, file: str) -> TitleTable:
    """Read the numbers and titles of a catalog; of two rows with one number the later counts.

    Raises:
        FileError: the file has no column `isbn` or none `title`.
    """
    headings = map_columns(rows.header, _COLUMNS, file=file, mapping={})
    titles: dict[str, str] = {}
    left_out = 0
    remaining = iter(rows)
    while lot := list(islice(remaining, ROWS_AT_ONCE)):
        parsed = parse_rows(lot, headings, _parse)
        titles.update(entry for _, entry in parsed.good)
        left_out += len(parsed.bad)
    return TitleTable.of(titles, left_out)


def _parse(cells: Cells) -> tuple[str, str]:
    number, _ = parse_number(cells.text("isbn"))
    if number is None:
        raise CellError(RowReason.EMPTY, field="isbn")
    return number, cells.text("title")
