"""One shelf drawn from the front, with the place of one of its books marked: what a person looks for at the shelf.

The boards, greys and heights are those of a drawing of the whole bookcase (`intake.documents.bookcases`), but it is as
wide as the page and has no names: all that is read in it is one place. The book looked for is black, and an arrow above
the row points at it, so that a thin one is found too.
"""

from collections.abc import Iterator

from intake.documents.bookcases import BOARD_MM, GREYS, KEPT_GREY, clear_mm
from intake.model.pages import Mark, Page, Rectangle, RuledLine
from intake.model.shelving import DrawnShelf

ARROW_MM = 12.0
"""Height of the arrow and the space around it."""
HEAD_MM = 3.0
LINE_PT = 0.3
BOARD_GREY = 0.75
THINNEST_MM = 0.8
"""The book looked for is drawn at least so wide, or it could not be seen."""


def lay_out_strip(shelf: DrawnShelf, at: int, *, width_mm: float = 160.0) -> Page:
    """Lay out one shelf, as high as its scale makes it.

    Books that are too many for its width stand beyond its end, and the page gets as wide as they need.

    Args:
        shelf: with its books from the left.
        at: the index of the book looked for.
        width_mm: of the page.
    """
    taken_mm = max(shelf.space.width_mm, sum(book.thickness_mm for book in shelf.books))
    scale = width_mm / (taken_mm + 2 * BOARD_MM)
    high_mm = max([clear_mm(shelf), *(book.height_mm for book in shelf.books)]) * scale
    floor = ARROW_MM + high_mm
    marks = [*_case(shelf, scale, floor, high_mm), *_books(shelf, at, scale, floor)]
    return Page(width_mm, floor + BOARD_MM * scale, tuple(marks))


def _case(shelf: DrawnShelf, scale: float, floor: float, high_mm: float) -> Iterator[Mark]:
    """Draw the board and the two sides."""
    board, inner = BOARD_MM * scale, shelf.space.width_mm * scale
    yield Rectangle(0.0, floor, inner + 2 * board, board, 0.4, BOARD_GREY)
    for x in (0.0, board + inner):
        yield Rectangle(x, floor - high_mm, board, high_mm, 0.4, BOARD_GREY)


def _books(shelf: DrawnShelf, at: int, scale: float, floor: float) -> Iterator[Mark]:
    x = BOARD_MM * scale
    for nth, book in enumerate(shelf.books):
        width, height = book.thickness_mm * scale, book.height_mm * scale
        if nth == at:
            yield Rectangle(x, floor - height, max(width, THINNEST_MM), height, LINE_PT, 0.0)
            yield from _arrow(x + width / 2, floor - height)
        else:
            yield Rectangle(x, floor - height, width, height, LINE_PT, GREYS[nth % 2] if book.copy else KEPT_GREY)
        x += width


def _arrow(x: float, top: float) -> Iterator[Mark]:
    """Draw an arrow from the top of the page down to the book."""
    tip = top - 1.0
    yield RuledLine(x, 0.5, x, tip, 4.0)
    yield from (RuledLine(x + side * HEAD_MM, tip - HEAD_MM, x, tip, 4.0) for side in (-1, 1))
