"""Rooms, bars and sets as drawings: counts and lengths worked out by hand from the marks of the page."""

from collections.abc import Sequence

import pytest

from intake.documents.bookcases import POINTER_MM, SCREEN_MM, lay_out_screen
from intake.documents.progress_bars import BAR_MM, lay_out_bars
from intake.documents.room_maps import CARTON_MM, lay_out_room
from intake.documents.set_strips import SPINE_MM, lay_out_strip
from intake.edges import fonts
from intake.model.move_drawings import CartonLook, CartonStack, DrawnBar, DrawnBars, DrawnRoom
from intake.model.pages import Bookmark, ContentOf, Mark, Page, Rectangle, RuledLine, Text
from intake.model.set_strips import DrawnSet, DrawnSpine, SpineFill
from intake.model.shelving import Book, DrawnBookcase, DrawnShelf, Space


def boxes_of(page: Page, size_mm: tuple[float, float]) -> list[Rectangle]:
    """Return the rectangles of one size."""
    rectangles = [mark for mark in page.marks if isinstance(mark, Rectangle)]
    return [one for one in rectangles if (one.width_mm, one.height_mm) == pytest.approx(size_mm)]


def texts(page: Page) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Text)]


def test_a_carton_is_drawn_for_each_box_or_for_each_few() -> None:
    stacks = (
        CartonStack(CartonLook.TAPED, 7, "7 boxes: closed"),
        CartonStack(CartonLook.OUTLINE, 31, "31 boxes: empty"),
    )
    assert len(boxes_of(lay_out_room(DrawnRoom("Hall", stacks), measure=fonts.measure), CARTON_MM)) == 38
    page = lay_out_room(DrawnRoom("Hall", stacks, each=5), measure=fonts.measure)
    assert len(boxes_of(page, CARTON_MM)) == 2 + 7, "7 boxes are two cartons of up to 5, 31 are seven"
    assert [text for text in texts(page) if "boxes" in text] == ["7 boxes: closed", "31 boxes: empty"]
    inside = [one for one in boxes_of(page, CARTON_MM) if one.x_mm >= 0 and one.x_mm + one.width_mm <= page.width_mm]
    assert len(inside) == 9


def looks_of(page: Page, size_mm: tuple[float, float]) -> tuple[object, ...]:
    """Return what tells one shape from another where there is no colour: its lines by their places, and its greys."""
    first = boxes_of(page, size_mm)[0]
    near: list[Mark] = []
    for mark in page.marks:
        if isinstance(mark, Bookmark | ContentOf):
            continue
        x, y = (mark.x1_mm, mark.y1_mm) if isinstance(mark, RuledLine) else (mark.x_mm, mark.y_mm)
        if (
            not isinstance(mark, Text)
            and abs(x - first.x_mm) < size_mm[0] * 1.2
            and abs(y - first.y_mm) < size_mm[1] * 1.1
        ):
            near.append(mark)
    return tuple(
        ("line", round(mark.y1_mm - first.y_mm, 1), round(mark.y2_mm - first.y_mm, 1), mark.width_pt)
        if isinstance(mark, RuledLine)
        else ("box", mark.grey, mark.line_pt, round(mark.height_mm, 1))
        for mark in near
        if isinstance(mark, RuledLine | Rectangle)
    )


def test_every_look_of_a_carton_and_every_fill_of_a_spine_is_another_in_black_and_white() -> None:
    rooms = [lay_out_room(DrawnRoom("", (CartonStack(look, 1, "x"),)), measure=fonts.measure) for look in CartonLook]
    assert len({looks_of(page, CARTON_MM) for page in rooms}) == len(CartonLook)
    sets = [lay_out_strip(DrawnSet((DrawnSpine("1", fill, ""),)), measure=fonts.measure) for fill in SpineFill]
    assert len({looks_of(page, SPINE_MM) for page in sets}) == len(SpineFill)


def test_a_set_runs_on_in_rows_and_names_every_volume() -> None:
    spines = [DrawnSpine(str(nth), SpineFill.FILLED if nth % 2 else SpineFill.OPEN, "") for nth in range(1, 31)]
    page = lay_out_strip(DrawnSet(tuple(spines)), measure=fonts.measure)
    drawn = boxes_of(page, SPINE_MM)
    assert len(drawn) == 30
    assert all(one.x_mm + one.width_mm <= page.width_mm and one.y_mm + one.height_mm <= page.height_mm for one in drawn)
    assert texts(page)[:30] == [str(nth) for nth in range(1, 31)]
    assert set(texts(page)[30:]) == {"on a shelf", "not in the collection"}, "the legend names what occurs"


def bars(*counts: tuple[int, int, int]) -> Sequence[Rectangle]:
    drawn = DrawnBars("Rooms", tuple(DrawnBar(f"Room {n}", *of, words="w") for n, of in enumerate(counts)))
    page = lay_out_bars(drawn, measure=fonts.measure, width_mm=106.0)
    return [one for one in page.marks if isinstance(one, Rectangle) and one.height_mm == pytest.approx(BAR_MM)]


def test_bars_have_one_scale() -> None:
    """The longest, of 50, takes the 100 mm between the margins: 2 mm each."""
    assert [one.width_mm for one in bars((20, 25, 5), (10, 0, 0))] == pytest.approx([40, 10, 50, 20])
    assert bars((0, 0, 0)) == []


def test_a_marked_book_is_black_with_an_arrow_at_its_top() -> None:
    books = tuple(
        Book(copy=f"A{n}", name=f"Book {n}", thickness_mm=40.0, height_mm=250.0, depth_mm=200.0, mass_g=900.0)
        for n in range(1, 4)
    )
    shelf = DrawnShelf(space=Space(shelf="S1", name="1", width_mm=800, height_mm=300), books=books)
    bare = DrawnBookcase(name="Study · A", number="S9-30", shelves=(shelf,))
    plain = lay_out_screen(bare, measure=fonts.measure)
    page = lay_out_screen(
        DrawnBookcase(name="", number="", shelves=(shelf,), marked=frozenset({"A2"})), measure=fonts.measure
    )
    assert page.width_mm == SCREEN_MM
    black = [one for one in page.marks if isinstance(one, Rectangle) and one.grey == 0.0]
    assert len(black) == 1
    assert not [one for one in plain.marks if isinstance(one, Rectangle) and one.grey == 0.0]
    middle = black[0].x_mm + black[0].width_mm / 2
    points = {
        (round(one.x2_mm, 3), round(one.y2_mm, 3))
        for one in page.marks
        if isinstance(one, RuledLine) and one.width_pt > 2
    }
    assert points == {(round(middle, 3), round(black[0].y_mm, 3))}
    assert black[0].y_mm - POINTER_MM >= 0, "the arrow is on the page"
    names = [one.text for one in plain.marks if isinstance(one, Text)]
    assert "Study · A" not in names, "a page of a screen has the name as its heading"
