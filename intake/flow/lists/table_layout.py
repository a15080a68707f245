"""Where in a table the list is: its headings, its rows, and what stands above, between and below them.

The headings are the row, among the first, that names most fields. Below them a row of totals (a word for it or no text
at all, and numbers), the headings again, and remarks after a blank row are not rows of the list. A row with a single
cell in a table of fuller rows may be a heading between the rows or a book of which only the title is known: it is left
to the person.
"""

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from intake.edges.exchange.heading_table import TOTAL, words_in_cells
from intake.edges.exchange.table_cells import Cell, RawRow, RawTable
from intake.edges.exchange.text_table import plain_text
from intake.errors import FileError
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.heading_words import fold_heading
from intake.flow.lists.headings import guess_columns
from intake.flow.lists.list_guess import LeftOut, LeftOutReason
from intake.units.written_numbers import number_readings, with_cents

SEARCHED_ROWS = 40
"""Headings are looked for among so many rows."""
FULL_CELLS = 3
"""With so many cells in most rows, a row of one cell is odd."""
SHOWN_CHARACTERS = 60
COUNTED = re.compile(r"(?P<label>[^\d]+)\d+(?:\s[^\d]*)?")
"""A total in one cell, with what is counted: "Yhteensä 4 kirjaa"."""


@dataclass(frozen=True, slots=True)
class Headings:
    """The headings of a table, their line, and the rows above them."""

    line: int
    texts: tuple[str, ...]
    above: tuple[LeftOut, ...]


def find_headings(table: RawTable, columns: Sequence[ListColumn], *, file: str, mapping: Mapping[str, str]) -> Headings:
    """Find the row of headings.

    Raises:
        FileError: the table is empty.
    """
    rows = list(islice(table, SEARCHED_ROWS))
    if not rows:
        raise FileError(file, "is empty", "give a table with headings")
    named = {fold_heading(heading) for heading in mapping.values() if heading}
    best = max(rows, key=lambda row: (_fields_named(row, columns, named), -row.line))
    if not _fields_named(best, columns, named):
        best = max(rows, key=lambda row: (len(filled(row.cells)), -row.line))
    above = tuple(left_out(row, LeftOutReason.ABOVE) for row in rows if row.line < best.line)
    return Headings(best.line, tuple(cell_text(cell).strip() for cell in best.cells), above)


def _fields_named(row: RawRow, columns: Sequence[ListColumn], named: set[str]) -> int:
    texts = list(dict.fromkeys(cell.strip() for cell in row.cells if isinstance(cell, str) and cell.strip()))
    unique = {fold_heading(text): text for text in texts}
    guesses = guess_columns(list(unique.values()), columns, file="", mapping={})
    return sum(bool(guess.field) or fold_heading(guess.heading) in named for guess in guesses)


class BodySurvey:
    """Looks through the rows below the headings for those that are not rows of the list.

    Args:
        headings: of the table.
        number_place: of the column of retail numbers; None for none. A row with a number there is never one of totals.
        required: places of the columns that every row of the list fills.
    """

    def __init__(self, headings: Headings, number_place: int | None, required: Collection[int]) -> None:
        self._header = [text.casefold() for text in headings.texts if text]
        self._number_place = number_place
        self._required = required
        self._widths: Counter[int] = Counter()
        self._end = headings.line
        self._single: dict[int, LeftOut] = {}
        self._tail: list[LeftOut] = []
        self._is_after_gap = False
        self.left_out: dict[int, LeftOut] = {}
        self.notes: tuple[LeftOut, ...] = ()

    def add(self, row: RawRow) -> bool:
        """Take the next row; return whether it may be one of the list."""
        cells = filled(row.cells)
        gap = row.line > self._end + 1
        self._end = row.line + row.lines - 1
        if (reason := self._odd(row, cells)) is not None:
            self.left_out[row.line] = left_out(row, reason)
            return False
        self._widths[len(cells)] += 1
        if len(cells) == 1:
            self._is_after_gap = self._is_after_gap or gap
            note = left_out(row, LeftOutReason.NOTE)
            if len(self._header) > 1 and self._is_after_gap:
                self._tail.append(note)
            self._single[row.line] = note
        else:
            self._tail, self._is_after_gap = [], False
        return True

    def finish(self) -> frozenset[int]:
        """Return the lines of single cells that only a person can judge, after the last row; notes are left out."""
        notes = {note.line: note for note in self._tail}
        self.left_out |= notes
        self.notes = tuple(self._tail)
        total = self._widths.total()
        full = sum(count for width, count in self._widths.items() if width >= FULL_CELLS)
        return frozenset(self._single.keys() - notes.keys()) if full * 2 > total else frozenset()

    def _odd(self, row: RawRow, cells: Sequence[Cell]) -> LeftOutReason | None:
        """Return why a row is none of the list, wherever it stands."""
        number = self._number_place
        if len(cells) == len(self._header) and [cell_text(cell).strip().casefold() for cell in cells] == self._header:
            return LeftOutReason.HEADINGS_AGAIN
        if number is not None and number < len(row.cells) and any(map(str.isdigit, cell_text(row.cells[number]))):
            return None
        texts = [cell_text(cell).strip() for cell in cells]
        return LeftOutReason.TOTALS if self._is_total(row, texts) else None

    def _is_total(self, row: RawRow, texts: Sequence[str]) -> bool:
        words = [text for text in texts if not _is_figure(text)]
        if not words:
            return not filled([row.cells[place] for place in self._required if place < len(row.cells)])
        label = words[0].casefold().strip(" :.=")
        if len(texts) == 1 and len(self._header) > 1 and (counted := COUNTED.fullmatch(label)) is not None:
            return counted["label"].strip(" :.=") in words_in_cells(TOTAL)
        is_label = label in words_in_cells(TOTAL) or label.partition(":")[0].strip() in words_in_cells(TOTAL)
        return (
            is_label
            and len(words) == 1
            and (
                len(texts) > 1 or ":" in texts[0] or len(self._header) > 1  # the sums may be formulas without a value
            )
        )


def _is_figure(text: str) -> bool:
    bare = with_cents(text.strip("€£$¥ \u00a0%"))
    return any(value is not None for value in number_readings(bare).values())


def filled(cells: Sequence[Cell]) -> list[Cell]:
    """Return the cells that are not empty."""
    return [cell for cell in cells if is_filled(cell)]


def is_filled(cell: Cell) -> bool:
    """Return whether a cell holds more than space."""
    return not isinstance(cell, str) or (cell != "" and not cell.isspace())


def cell_text(cell: Cell) -> str:
    """Return a cell as text: a day as ISO 8601 has it, a text without the marks against formulas."""
    if isinstance(cell, str):
        return plain_text(cell)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return cell.isoformat() if not isinstance(cell, int | float) else str(cell)


def left_out(row: RawRow, reason: LeftOutReason) -> LeftOut:
    """Return a row as one that is not of the list."""
    text = " · ".join(" ".join(cell_text(cell).split()) for cell in filled(row.cells))
    return LeftOut(row.line, reason, text if len(text) <= SHOWN_CHARACTERS else text[: SHOWN_CHARACTERS - 1] + "…")
