"""A bookcase drawn to scale: lengths measured in the rendered page, and the same in SVG."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf
from xml.etree import ElementTree

import numpy as np
import numpy.typing as npt
import pytest

from intake.documents import bookcases
from intake.edges import fonts, svg
from intake.model.pages import Page, PlacedPicture, Rectangle, RuledLine, Symbol, Text
from intake.model.shelving import Book, DrawnBookcase, DrawnShelf, Space
from intake.units.convert import mm_to_px

Grey = npt.NDArray[np.uint8]
Render = Callable[[Sequence[Page], float], list[Grey]]


def book(nth: int, thickness_mm: float, height_mm: float, **more: object) -> Book:
    fields = {"copy": f"A{nth}", "name": f"Die Gräser, Band {nth}", "depth_mm": 200.0, "mass_g": 900.0}
    return Book(thickness_mm=thickness_mm, height_mm=height_mm, **{**fields, **more})  # type: ignore[arg-type] # fields of Book


def case(*books: Book, shelves: int = 3) -> DrawnBookcase:
    empty = tuple(
        DrawnShelf(space=Space(shelf=f"S{n}", name=str(n), width_mm=800, height_mm=300), books=())
        for n in range(2, shelves + 1)
    )
    first = DrawnShelf(
        space=Space(shelf="S1", name="1", width_mm=800, height_mm=300), books=books, note="S1-99  9.00 kg"
    )
    return DrawnBookcase(name="Study · A", number="S9-30", shelves=(first, *empty), notes=("Anchor it to the wall.",))


def rectangles(page: Page) -> list[Rectangle]:
    return [mark for mark in page.marks if isinstance(mark, Rectangle)]


def spines(page: Page) -> list[Rectangle]:
    """The rectangles that stand on a board."""
    floors = {round(mark.y_mm, 6) for mark in rectangles(page) if mark.grey == 0.75}
    return [mark for mark in rectangles(page) if round(mark.y_mm + mark.height_mm, 6) in floors]


def test_books_have_their_proportions_and_stand_side_by_side() -> None:
    (page,) = bookcases.lay_out(case(book(1, 30, 240), book(2, 60, 300), book(3, 15, 120)), measure=fonts.measure)
    drawn = spines(page)
    scale = drawn[0].width_mm / 30
    assert [round(mark.width_mm / scale) for mark in drawn] == [30, 60, 15]
    assert [round(mark.height_mm / scale) for mark in drawn] == [240, 300, 120]
    assert drawn[1].x_mm == pytest.approx(drawn[0].x_mm + drawn[0].width_mm)
    rule = next(
        mark
        for mark in page.marks
        if isinstance(mark, RuledLine) and mark.y1_mm > drawn[0].y_mm + 100 and mark.width_pt == 0.9
    )
    assert rule.x2_mm - rule.x1_mm == pytest.approx(bookcases.SCALE_MM * scale)


def test_everything_is_on_the_page_whatever_the_bookcase(render: Render) -> None:
    for shelves in (1, 3, 9):
        (page,) = bookcases.lay_out(
            case(*(book(n, 25, 280) for n in range(32)), shelves=shelves), measure=fonts.measure
        )
        for mark in rectangles(page):
            assert mark.x_mm >= 10
            assert mark.x_mm + mark.width_mm <= page.width_mm - 10
            assert mark.y_mm + mark.height_mm <= page.height_mm - 20
        (grey,) = render([page], 100)
        margin = int(mm_to_px(10, 100))
        assert grey[:, :margin].min() == 255
        assert grey[-margin:].min() == 255


def test_a_measured_spine_in_the_rendered_page(render: Render) -> None:
    (page,) = bookcases.lay_out(case(book(1, 100, 250, name="")), measure=fonts.measure)
    (mark,) = spines(page)
    (grey,) = render([page], 300)
    y = round(mm_to_px(mark.y_mm + mark.height_mm / 2, 300))
    left, right = (round(mm_to_px(x, 300)) for x in (mark.x_mm, mark.x_mm + mark.width_mm))
    dark = np.flatnonzero(grey[y, left - 5 : right + 6] < 140) + left - 5
    assert abs(dark.min() - left) <= 2
    assert abs(dark.max() - right) <= 2


def test_what_is_not_known_or_only_kept_is_marked() -> None:
    unknown = book(1, 30, 240, estimated=("thickness",))
    (page,) = bookcases.lay_out(case(unknown, book(2, 20, 240, copy="")), measure=fonts.measure)
    guessed, kept = spines(page)
    assert kept.grey == bookcases.KEPT_GREY
    assert any(
        isinstance(mark, RuledLine) and mark.x1_mm == guessed.x_mm and mark.x2_mm > mark.x1_mm for mark in page.marks
    )
    names = [mark.text for mark in page.marks if isinstance(mark, Text) and mark.rotation_deg]
    assert names == ["Die Gräser, Band 1"]


def test_a_name_shrinks_before_it_is_cut_and_is_cut_before_its_volume() -> None:
    long = book(1, 20, 240, name="Bärlappe und Farne der Nebelküste und Heide, Band 2", volume="Band 2")
    endless = replace(long, name=f"{'Bärlappe und Farne, ' * 12}Band 2")
    (short, shrunk, cut, of_words) = (
        replace(long, name="Farne, Band 2"),
        long,
        endless,
        replace(endless, name=f"Farne, {'Ergänzung ' * 30}", volume="Ergänzung " * 30),
    )
    (page,) = bookcases.lay_out(case(short, shrunk, cut, of_words, shelves=1), measure=fonts.measure)
    names = [mark for mark in page.marks if isinstance(mark, Text) and mark.rotation_deg]
    texts = [mark.text for mark in names]
    assert texts[:2] == [short.name, shrunk.name]
    assert texts[2].startswith("Bärlappe und Farne, Bär")
    assert texts[2].endswith("… Band 2")
    assert texts[3].endswith("…")
    assert names[1].size_pt < names[0].size_pt
    assert min(mark.size_pt for mark in names) >= bookcases.SHRUNK_PT
    for mark, spine in zip(names, spines(page), strict=True):
        assert fonts.measure(mark.text, mark.size_pt, mark.bold) <= spine.height_mm - 2 + 1e-6


@pytest.mark.parametrize("count", [1, 30, 200])
def test_notes_are_wrapped_and_what_has_no_room_is_said(count: int, render: Render) -> None:
    notes = tuple(
        f"Note {n}: " + "what a floor bears is decided by codes and by an engineer, " * 4 for n in range(count)
    )
    (page,) = bookcases.lay_out(replace(case(book(1, 30, 240)), notes=notes), measure=fonts.measure)
    words = " ".join(mark.text for mark in page.marks if isinstance(mark, Text))
    assert "…" not in words
    assert (f"Note {count - 1}:" in words) == (bookcases.MORE not in words)
    assert (count == 200) == (bookcases.MORE in words)
    assert max(mark.y_mm for mark in page.marks if isinstance(mark, Text)) < page.height_mm - 10
    (grey,) = render([page], 50)
    assert grey[-10:].min() == 255
    assert spines(page)[0].width_mm > 0


def test_a_shelf_of_unknown_height_and_a_bookcase_without_shelves() -> None:
    shelf = DrawnShelf(space=Space(shelf="S1", name="1", width_mm=800, height_mm=inf), books=(book(1, 30, 240),))
    for shelves in ((shelf,), ()):
        (page,) = bookcases.lay_out(DrawnBookcase(name="A", number="S9-30", shelves=shelves), measure=fonts.measure)
        assert page.marks


SVG = "{http://www.w3.org/2000/svg}"


def test_the_svg_holds_the_same_marks_in_the_same_millimetres() -> None:
    (page,) = bookcases.lay_out(case(book(1, 30, 240), book(2, 60, 300)), measure=fonts.measure)
    root = ElementTree.fromstring(svg.draw(page, title="A <drawing> & more"))  # noqa: S314 - our own text
    assert root.attrib["viewBox"] == "0 0 210 297"
    assert root.attrib["width"] == "210mm"
    assert root.findtext(f"{SVG}title") == "A <drawing> & more"
    drawn = root.findall(f"{SVG}rect")
    assert [float(one.attrib["width"]) for one in drawn] == pytest.approx(
        [mark.width_mm for mark in rectangles(page)], abs=0.001
    )
    turned = [one for one in root.findall(f"{SVG}text") if "transform" in one.attrib]
    assert len(turned) == 2
    assert turned[0].attrib["transform"].startswith("rotate(-90 ")


def test_the_svg_of_symbols_pictures_and_odd_letters() -> None:
    marks = (
        Symbol(1, 2, 0.5, ("110", "011"), (0.5, 0.5)),
        PlacedPicture(1, 1, 5, 5, b"\x89PNG\r\n"),
        Text(1, 1, "a\x00<b>", 10),
    )
    text = svg.draw(Page(20, 10, marks), title="")
    root = ElementTree.fromstring(text)  # noqa: S314 - our own text
    path = root.find(f"{SVG}path")
    assert path is not None
    assert re.findall(r"M[^z]+z", path.attrib["d"]) == ["M1 2h1v0.5h-1z", "M1.5 2.5h1v0.5h-1z"]
    assert root.findtext(f"{SVG}text") == "a\ufffd<b>"
    assert "data:image/png;base64,iVBORw0K" in text
