"""One shelf drawn with the place of a book: everything to one scale, and the book looked for found at a glance."""

import pytest

from intake.documents.shelf_strips import THINNEST_MM, lay_out_strip
from intake.model.pages import Page, Rectangle, RuledLine
from intake.model.shelving import Book, DrawnShelf, Space


def strip(*thick_mm: float, at: int = 1, width_mm: float = 800.0) -> tuple[Page, list[Rectangle]]:
    books = tuple(
        Book(
            copy=f"A{nth}" if thick > 0 else "", thickness_mm=abs(thick), height_mm=240.0, depth_mm=200.0, mass_g=900.0
        )
        for nth, thick in enumerate(thick_mm)
    )
    shelf = DrawnShelf(space=Space(shelf="S1", width_mm=width_mm, height_mm=300.0), books=books)
    page = lay_out_strip(shelf, at)
    rectangles = [mark for mark in page.marks if isinstance(mark, Rectangle)]
    return page, rectangles[3:]  # after the board and the two sides


def test_books_have_their_proportions_and_the_one_looked_for_is_the_only_black() -> None:
    page, books = strip(30, 60, 15)
    scale = page.width_mm / (800 + 2 * 18)
    assert [mark.width_mm / scale for mark in books] == pytest.approx([30, 60, 15])
    assert [mark.height_mm / scale for mark in books] == pytest.approx([240] * 3)
    assert [mark.grey == 0.0 for mark in books] == [False, True, False]


def test_the_arrow_points_at_its_middle() -> None:
    page, books = strip(30, 60, 15)
    shafts = [mark for mark in page.marks if isinstance(mark, RuledLine) and mark.x1_mm == mark.x2_mm]
    assert [shaft.x1_mm for shaft in shafts] == pytest.approx([books[1].x_mm + books[1].width_mm / 2])
    assert shafts[0].y2_mm < books[1].y_mm


def test_a_thin_one_is_still_seen_and_kept_room_is_no_book() -> None:
    _, books = strip(30, 1, -40, at=1)
    assert books[1].width_mm == THINNEST_MM
    assert books[2].grey not in (0.0, books[0].grey)


def test_a_shelf_that_is_too_full_is_drawn_whole() -> None:
    page, books = strip(*[50] * 20, at=19)
    assert books[-1].x_mm + books[-1].width_mm <= page.width_mm
