"""Scans that follow one another quickly, in Chromium: each is taken once, whole and in order, whatever a page does."""

import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_at_place
from intake.edges.store.queries.sightings import count_waiting
from intake.model.editions import CopyState
from tests.desk.conftest import WIDE, Running, let_in, visit
from tests.desk.test_browser import answered, type_in, unpacked

pytestmark = pytest.mark.slow

NUMBERS = ("9789999812252", "9789999812429", "9789999812597", "9795744423116", "9795220478661")


@pytest.fixture
def page(desk: Running, chromium: Browser) -> Iterator[Page]:
    with visit(chromium, desk.link, size=WIDE) as page:
        yield page


def scan_quickly(page: Page, texts: list[str], pause_ms: int) -> None:
    """Scan one after the other, with a pause between the end of one and the beginning of the next."""
    for nth, text in enumerate(texts):
        if nth:
            time.sleep(pause_ms / 1000)
        type_in(page, text)


def listed(page: Page) -> list[str]:
    """Return the lines of the last scans, newest first."""
    return page.locator("#last li").all_inner_texts()


def test_flags_at_150_ms_are_each_booked_once(desk: Running, page: Page, library: Library) -> None:
    with library.reading() as records:
        flags = [copy.accession for copy, _ in all_copies(records) if copy.state is CopyState.PACKED][:6]
    page.goto(f"{desk.base}/unpack/1")
    scan_quickly(page, flags, 150)
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    expect(page.locator("#last li")).to_have_count(len(flags))
    expect(page.locator("#text")).to_have_value("")
    with library.reading() as records:
        states = {copy.accession: copy.state for copy, _ in all_copies(records)}
    assert {states[flag] for flag in flags} == {CopyState.UNPACKED}, listed(page)


def test_numbers_at_300_ms_in_a_search_field_are_each_shown_once_in_order(desk: Running, page: Page) -> None:
    page.goto(f"{desk.base}/catalog")
    expect(page.locator("#q")).to_be_focused()
    scan_quickly(page, list(NUMBERS), 300)
    expect(page.locator("#last li")).to_have_count(len(NUMBERS))
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    expect(page.locator("#q")).to_have_value("")
    expect(page).to_have_url(f"{desk.base}/catalog")
    titles = listed(page)
    for number, line in zip(NUMBERS, reversed(titles), strict=True):
        answer = let_in(desk).post("/api/scan", text=number, request=f"again {number}").json()["answers"][0]
        assert answer["title"] in line


@pytest.mark.parametrize("pause_ms", [150, 300])
def test_a_book_right_after_a_label_goes_to_its_page(
    desk: Running, page: Page, library: Library, pause_ms: int
) -> None:
    page.goto(f"{desk.base}/catalog")
    scan_quickly(page, ["B1-56", NUMBERS[0], NUMBERS[1]], pause_ms)
    page.wait_for_url("**/unpack/B1-56")
    answered(page, "good", "Gannets")
    assert set(unpacked(library).values()) == set(NUMBERS[:2])
    page.goto(f"{desk.base}/boxes")
    copies = sorted(unpacked(library))
    scan_quickly(page, ["S4-75", *copies], pause_ms)
    page.wait_for_url("**/shelves/S4-75")
    answered(page, "good", copies[-1])
    with library.reading() as records:
        assert sorted(copy.accession for copy, _ in copies_at_place(records, "S4-75")) == copies
        assert count_waiting(records) == 0


REMEMBERED = """() => {
  const sign = document.getElementById("opening");
  new MutationObserver(() => {
    sessionStorage.setItem("said", `${sign.textContent} ${sign.getBoundingClientRect().width / innerWidth}`);
  }).observe(sign, { childList: true });
}"""
"""What the sign says and its share of the width, kept for the page after."""


def test_a_person_is_told_to_wait_while_a_page_is_opened(desk: Running, page: Page) -> None:
    page.goto(f"{desk.base}/catalog")
    page.evaluate(REMEMBERED)
    type_in(page, "S4-75")
    page.wait_for_url("**/shelves/S4-75")
    assert page.evaluate("sessionStorage.getItem('said')") == "Opening S4-75, wait … 1"
    expect(page.locator("#opening")).to_be_empty()
    expect(page.locator("#last li")).to_have_count(1)
