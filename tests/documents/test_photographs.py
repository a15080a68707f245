"""Photographs on a page: whole, in their proportions, each above its own words, and none lost at the foot of a page."""

import io
from collections import Counter

import pytest
from PIL import Image

from intake.documents.page_flow import GAP_MM, MARGIN_MM, Head, Sheet
from intake.documents.photographs import set_photographs
from intake.edges import fonts
from intake.model.pages import Page, PlacedPicture, Rectangle, Text
from intake.model.papers import A4_MM, LETTER_MM
from intake.model.schedules import Photograph


def photograph(nth: int, width: int = 200, height: int = 150, *, why: str = "") -> Photograph:
    out = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(out, "JPEG")
    data = None if why else out.getvalue()
    return Photograph(
        copy=f"A{nth}-00",
        caption=f"view {nth}",
        sha256="0123456789abcdef"[nth % 16] * 64,
        width_px=width,
        height_px=height,
        data=data,
        why=why,
    )


def lay_out(*photographs: Photograph, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    sheet = Sheet(Head("Photographs of copies", "R-1"), fonts.measure, paper_mm)
    set_photographs(sheet, photographs)
    return sheet.finish()


def pictures(pages: list[Page]) -> list[PlacedPicture]:
    return [mark for page in pages for mark in page.marks if isinstance(mark, PlacedPicture)]


def words(page: Page) -> list[Text]:
    return [mark for mark in page.marks if isinstance(mark, Text)]


def test_of_no_photographs_not_even_a_heading_is_set() -> None:
    empty = Sheet(Head("Photographs of copies", "R-1"), fonts.measure, A4_MM).finish()
    assert [len(page.marks) for page in lay_out()] == [len(page.marks) for page in empty]


@pytest.mark.parametrize(("width", "height"), [(200, 150), (150, 200), (1000, 100), (100, 1000), (64, 64)])
@pytest.mark.parametrize("paper_mm", [A4_MM, LETTER_MM])
def test_a_photograph_is_as_large_as_its_space_allows_and_keeps_its_proportions(
    width: int, height: int, paper_mm: tuple[float, float]
) -> None:
    (one,) = pictures(lay_out(photograph(1, width, height), paper_mm=paper_mm))
    (frame,) = [
        mark
        for page in lay_out(photograph(1, why="lost"), paper_mm=paper_mm)
        for mark in page.marks
        if isinstance(mark, Rectangle)
    ]
    assert one.width_mm / one.height_mm == pytest.approx(width / height)
    # The frame of a lost one is the space that a photograph has: it fills one side of it, and stands on its foot.
    assert one.width_mm <= frame.width_mm + 1e-6
    assert one.height_mm <= frame.height_mm + 1e-6
    assert max(one.width_mm / frame.width_mm, one.height_mm / frame.height_mm) == pytest.approx(1)
    assert (one.x_mm, one.y_mm + one.height_mm) == pytest.approx((frame.x_mm, frame.y_mm + frame.height_mm))
    assert 3 * frame.width_mm + 2 * GAP_MM == pytest.approx(paper_mm[0] - 2 * MARGIN_MM)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7, 12, 13, 30])
def test_every_photograph_is_set_once_three_in_a_row_and_no_row_is_split(count: int) -> None:
    pages = lay_out(*(photograph(nth) for nth in range(count)))
    placed = pictures(pages)
    assert len(placed) == count
    rows = Counter((nth, mark.y_mm) for nth, page in enumerate(pages) for mark in pictures([page]))
    assert sorted(rows.values(), reverse=True) == [3] * (count // 3) + ([count % 3] if count % 3 else [])
    for page in pages:
        feet = [mark.y_mm + mark.height_mm for mark in pictures([page])] + [text.y_mm for text in words(page)]
        assert max(feet) <= A4_MM[1] - MARGIN_MM + 1e-6


def test_its_words_stand_below_it_in_its_own_column() -> None:
    (page,) = lay_out(*(photograph(nth) for nth in range(3)))
    for nth, mark in enumerate(pictures([page])):
        below = [text for text in words(page) if f"A{nth}-00" in text.text or set(text.text) == {str(nth)}]
        assert len(below) >= 2, "its number with its caption, and its digest"
        for text in below:
            assert text.x_mm == pytest.approx(mark.x_mm)
            assert text.y_mm > mark.y_mm + mark.height_mm
    rows = lay_out(*(photograph(nth) for nth in range(6)))
    second = min(mark.y_mm for mark in pictures(rows) if mark.y_mm > pictures(rows)[0].y_mm)
    digest = max(text.y_mm for text in words(rows[0]) if set(text.text) == {"0"})
    assert digest < second, "above the next row"


def test_one_that_cannot_be_printed_says_why_inside_its_frame() -> None:
    (page,) = lay_out(photograph(1), photograph(2, why="its file was altered"))
    (frame,) = [mark for mark in page.marks if isinstance(mark, Rectangle)]
    (why,) = [text for text in words(page) if "its file was altered" in text.text]
    assert frame.x_mm < why.x_mm < frame.x_mm + frame.width_mm
    assert frame.y_mm < why.y_mm < frame.y_mm + frame.height_mm
    assert len(pictures([page])) == 1
    assert any("A2-00" in text.text for text in words(page))
