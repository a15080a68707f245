"""Drawings on the desk's pages: what each says in words, and the sheet of labels that is crossed out by touch."""

import re
from html import unescape

import pytest
from playwright.sync_api import Browser, expect

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from tests.desk.conftest import PHONE, Running, Station, let_in, visit

TITLE = re.compile(r"<svg[^>]*>\s*<title>([^<]*)</title>")


@pytest.fixture
def fresh(desk: Running) -> Station:
    return let_in(desk)


def titles(station: Station, path: str) -> list[str]:
    answer = station.get(path)
    assert answer.status_code == 200
    # The drawn book of the inspection is hidden from readers: its parts are buttons with words.
    drawings = re.sub(r"<svg[^>]*aria-hidden", "", answer.text).count("<svg")
    assert drawings == len(TITLE.findall(answer.text)), "every drawing has a text alternative"
    return [unescape(title) for title in TITLE.findall(answer.text)]


def test_the_place_of_a_copy_is_drawn_on_its_page_and_said(fresh: Station, library: Library) -> None:
    for copy, number in (("A3-41", "9789999812597"), ("A1-59", "9789999812252")):
        fresh.post("/api/scan", box="1", text=number, request=copy)
        opened = fresh.version(f"/copies/{copy}")
        assert fresh.post(f"/copies/{copy}/shelf", shelf="S4-75", version=opened).status_code == 303
    with library.reading() as records:
        standing = [copy.accession for copy, _ in copies_on_shelves(records, ["S4-75"])["S4-75"]]
    nth = standing.index("A3-41") + 1
    (drawn,) = titles(fresh, "/copies/A3-41")
    assert drawn.startswith(f"Copy A3-41 is number {nth} of {len(standing)} from the left on Window bookcase 2")
    assert titles(fresh, "/copies/A8-93") == [], "a copy that stands nowhere has no drawing"
    (case,) = titles(fresh, "/bookcases/S2-93?copy=A3-41")
    assert f"Copy A3-41 is number {nth} of" in case
    assert case.count("books,") + case.count("book,") == 4, "each of its four shelves"
    assert fresh.get("/bookcases/S1-05").status_code in (404, 409)


def test_the_whole_move_is_drawn_and_said(fresh: Station) -> None:
    study, *_ = drawn = titles(fresh, "/progress")
    assert "boxes: here, still closed" in " ".join(drawn)
    assert any(title.startswith("Listed copies by room") for title in drawn)
    assert study.count(":") >= 1
    assert "Nothing has been unpacked yet." in fresh.get("/progress").text
    assert "Not to scale" in fresh.get("/progress").text


def test_labels_that_are_gone_are_kept_out_of_the_sheet(fresh: Station) -> None:
    page = fresh.get("/papers?paper=box-labels&used=2&used=5").text
    assert [int(nth) for nth in re.findall(r'name="used" value="(\d+)" checked', page)] == [2, 5]
    assert "used=2%2C5" in page, "the paper that is shown leaves them out"
    whole, fewer = (fresh.get(f"/papers/box-labels.pdf?used={used}") for used in ("", "2,5"))
    assert (whole.status_code, fewer.status_code) == (200, 200)
    assert whole.content != fewer.content
    none_left = fresh.get("/papers/box-labels.pdf?used=1,2,3,4,5,6,7,8")
    assert none_left.status_code == 400
    assert "ake a new sheet" in unescape(none_left.text)


@pytest.mark.slow
def test_labels_are_crossed_out_by_touch(desk: Running, chromium: Browser) -> None:
    with visit(chromium, desk.link, size=PHONE) as page:
        page.goto(f"{desk.base}/papers?paper=box-labels")
        page.get_by_label("Label 2 is gone").check()
        page.get_by_label("Label 5 is gone").check()
        crossed = page.locator(".stock input:checked + span")
        assert "gradient" in crossed.first.evaluate("each => getComputedStyle(each).backgroundImage")
        page.get_by_role("button", name="Show it with these").click()
        expect(page.get_by_label("Label 2 is gone")).to_be_checked()
        expect(page.get_by_label("Label 3 is gone")).not_to_be_checked()
        expect(page.locator("iframe.paper")).to_have_attribute("src", re.compile("used=2%2C5"))
