"""A bookcase drawn to scale from the front, with its books in place.

Width and height have the same scale; the drawing is as large as the page allows. Each book is drawn with its thickness
and height; a stroke across its foot marks a book with an estimated size. Names are printed on the spines where they are
legible. A book that is marked is black, with an arrow above it. Books that are taller than the clear height, or too
many for the width, extend over the edge. The notes below it are never cut short without saying so: they wrap, then
shrink, and the drawing gets what is left of the page.
"""

from collections.abc import Iterator
from dataclasses import replace

from intake.documents.long_names import fit_name
from intake.documents.text_fit import ENDLESS_MM, STEP_PT, Measure, Setter, line_mm
from intake.model.pages import Align, Mark, Page, Rectangle, RuledLine, Text
from intake.model.papers import A4_MM
from intake.model.shelving import Book, DrawnBookcase, DrawnShelf
from intake.units.convert import pt_to_mm
from intake.units.language import say, term

MARGIN_MM = 16.0
HEAD_MM = 16.0
SIDE_MM = 22.0
"""Beside the bookcase, for the names of its shelves."""
BOARD_MM = 18.0
OPEN_HEIGHT_MM = 320.0
"""Height drawn for a shelf of unknown clear height."""
PLINTH_MM = 60.0
GREYS = (1.0, 0.93)
KEPT_GREY = 0.8
MARKED_GREY = 0.0
POINTER_MM = 6.0
"""The length of the arrow at a book that is marked."""
SCREEN_MM = 150.0
SCREEN_MARGIN_MM = 2.0
SPINE_PT = (3.5, 8.0)
SHRUNK_PT = 5.0
"""A name that is longer than its spine shrinks to this before it is cut."""
NOTE_PT = 7.5
SMALLEST_NOTE_PT = 5.0
NOTES_PART = 0.5
"""The most of a page's height that is given to notes."""
MORE = term("There is no room for more notes: look at the loads of this bookcase.")
NAME_PT = (6.0, 11.0)
SCALE_MM = 100.0
"""The length of the scale bar below the bookcase."""


def lay_out(bookcase: DrawnBookcase, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out one page with one bookcase.

    Args:
        bookcase: its shelves from the top.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height of the page.
    """
    return [_Drawing(bookcase, Setter(measure), paper_mm).page()]


def lay_out_screen(bookcase: DrawnBookcase, *, measure: Measure, width_mm: float = SCREEN_MM) -> Page:
    """Lay out a bookcase, or some shelves of one, for a screen: without heading and notes, as high as it needs."""
    drawing = _Drawing(replace(bookcase, notes=()), Setter(measure), (width_mm, ENDLESS_MM), head_mm=POINTER_MM)
    return drawing.page()


class _Drawing:
    """The drawing of one bookcase; `scale` is paper mm per mm of the bookcase."""

    def __init__(
        self, bookcase: DrawnBookcase, setter: Setter, paper_mm: tuple[float, float], *, head_mm: float = 0.0
    ) -> None:
        self.head_mm = head_mm or HEAD_MM
        self.is_paper = not head_mm
        self.margin_mm = MARGIN_MM if self.is_paper else SCREEN_MARGIN_MM
        self.bookcase = bookcase
        self.setter = setter
        self.paper_mm = paper_mm
        widest = max((shelf.space.width_mm for shelf in bookcase.shelves), default=SCALE_MM)
        self.width_mm = widest + 2 * BOARD_MM
        self.height_mm = sum(_pitch_mm(shelf) for shelf in bookcase.shelves) + BOARD_MM + PLINTH_MM
        self.notes, self.note_pt = _set_notes(bookcase.notes, setter, paper_mm)
        notes_mm = len(self.notes) * line_mm(self.note_pt) + 4 * line_mm(NOTE_PT)
        room = (paper_mm[0] - 2 * self.margin_mm - SIDE_MM, paper_mm[1] - 2 * self.margin_mm - self.head_mm - notes_mm)
        self.scale = min(room[0] / self.width_mm, room[1] / self.height_mm)

    def page(self) -> Page:
        marks: list[Mark] = list(self._head()) if self.is_paper else []
        x, y = self.margin_mm + SIDE_MM, self.margin_mm + self.head_mm
        width, height = self.width_mm * self.scale, self.height_mm * self.scale
        marks.append(Rectangle(x, y, width, height, 0.9))
        board = BOARD_MM * self.scale
        marks += [
            RuledLine(x + board, y, x + board, y + height, 0.4),
            RuledLine(x + width - board, y, x + width - board, y + height, 0.4),
        ]
        top = y + board
        for shelf in self.bookcase.shelves:
            marks += self._shelf(shelf, x + board, top)
            top += _pitch_mm(shelf) * self.scale
        marks += self._foot(y + height)
        whole = self.paper_mm[1] if self.is_paper else y + height + 3 * line_mm(NOTE_PT)
        return Page(self.paper_mm[0], whole, tuple(marks))

    def _head(self) -> Iterator[Mark]:
        yield Text(MARGIN_MM, MARGIN_MM + 6, self.bookcase.name, 14.0, bold=True)
        yield Text(
            self.paper_mm[0] - MARGIN_MM, MARGIN_MM + 6, self.bookcase.number, 14.0, bold=True, align=Align.RIGHT
        )
        yield RuledLine(MARGIN_MM, MARGIN_MM + 9, self.paper_mm[0] - MARGIN_MM, MARGIN_MM + 9, 0.9)

    def _shelf(self, shelf: DrawnShelf, x: float, top: float) -> Iterator[Mark]:
        """Draw the board, the name beside it, and the books on it."""
        floor = top + clear_mm(shelf) * self.scale
        thickness = (shelf.board_mm or BOARD_MM) * self.scale
        yield Rectangle(x, floor, (self.width_mm - 2 * BOARD_MM) * self.scale, thickness, 0.4, 0.75)
        name = self.setter.fit(shelf.space.name, SIDE_MM - 2.0, line_mm(NAME_PT[1]), NAME_PT, bold=True)
        note = self.setter.fit(shelf.note, SIDE_MM - 2.0, line_mm(NOTE_PT), (4.0, NOTE_PT))
        yield from (
            Text(self.margin_mm, floor - line_mm(NOTE_PT), line, name.size_pt, bold=True) for line in name.lines
        )
        yield from (Text(self.margin_mm, floor, line, note.size_pt) for line in note.lines)
        for nth, book in enumerate(shelf.books):
            yield from self._book(book, x, floor, GREYS[nth % 2])
            x += book.thickness_mm * self.scale

    def _book(self, book: Book, x: float, floor: float, grey: float) -> Iterator[Mark]:
        width, height = book.thickness_mm * self.scale, book.height_mm * self.scale
        if not book.copy:
            yield Rectangle(x, floor - height, width, height, 0.0, KEPT_GREY)
            return
        if book.copy in self.bookcase.marked:
            yield Rectangle(x, floor - height, width, height, 0.3, MARKED_GREY)
            yield from _pointer(x + width / 2, floor - height)
            return
        yield Rectangle(x, floor - height, width, height, 0.3, grey)
        if book.estimated:
            yield RuledLine(x, floor - width, x + width, floor, 0.3)
        size = min(SPINE_PT[1], width * 0.8 / pt_to_mm(1.0))
        if size >= SPINE_PT[0]:
            name = fit_name(book.name, book.volume, height - 2.0, (min(size, SHRUNK_PT), size), self.setter)
            if name.lines:
                base = x + width / 2 + pt_to_mm(name.size_pt) * 0.33
                yield Text(base, floor - 1.0, name.lines[0], name.size_pt, rotation_deg=90.0)

    def _foot(self, y: float) -> Iterator[Mark]:
        """Draw the scale bar and the notes."""
        x = self.margin_mm + SIDE_MM
        below = y + line_mm(NOTE_PT)
        yield RuledLine(x, below, x + SCALE_MM * self.scale, below, 0.9)
        yield Text(x + SCALE_MM * self.scale + 2, below + 1, f"{SCALE_MM:.0f} mm", NOTE_PT)
        below += 2.5 * line_mm(NOTE_PT)
        for line in self.notes:
            yield Text(MARGIN_MM, below, line, self.note_pt)
            below += line_mm(self.note_pt)


def _pointer(x: float, tip: float) -> Iterator[Mark]:
    """Draw an arrow that points down at the top of a book."""
    yield RuledLine(x, tip - POINTER_MM, x, tip, 2.4)
    yield RuledLine(x - POINTER_MM / 3, tip - POINTER_MM / 2.5, x, tip, 2.4)
    yield RuledLine(x + POINTER_MM / 3, tip - POINTER_MM / 2.5, x, tip, 2.4)


def _set_notes(notes: tuple[str, ...], setter: Setter, paper_mm: tuple[float, float]) -> tuple[tuple[str, ...], float]:
    """Return the lines of the notes, and the size at which they take no more than their part of the page."""
    size = NOTE_PT
    while True:
        lines = tuple(
            line
            for note in notes
            for line in setter.fit(note, paper_mm[0] - 2 * MARGIN_MM, ENDLESS_MM, (size, size)).lines
        )
        room = int(NOTES_PART * paper_mm[1] / line_mm(size))
        if len(lines) <= room:
            return lines, size
        if size <= SMALLEST_NOTE_PT:
            return (*lines[: room - 1], say(MORE)), size
        size -= STEP_PT


def clear_mm(shelf: DrawnShelf) -> float:
    """Return the clear height at which a shelf is drawn."""
    height = shelf.space.height_mm
    return height if height < float("inf") else OPEN_HEIGHT_MM


def _pitch_mm(shelf: DrawnShelf) -> float:
    return clear_mm(shelf) + (shelf.board_mm or BOARD_MM)
