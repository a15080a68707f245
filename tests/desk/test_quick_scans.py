"""Scans that follow one another quickly, in Chromium: each is taken once, whole and in order, whatever a page does."""

import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, Route, expect

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


def a_label_then_books(desk: Running, page: Page, library: Library, pause_ms: int) -> None:
    """Scan labels and the books that belong there: none is lost or booked elsewhere, and all in order."""
    page.goto(f"{desk.base}/catalog")
    scan_quickly(page, ["B1-56", NUMBERS[0], NUMBERS[1]], pause_ms)
    page.wait_for_url("**/unpack/B1-56")
    answered(page, "good", "Gannets")
    assert set(unpacked(library).values()) == set(NUMBERS[:2])
    copies = sorted(unpacked(library))
    page.goto(f"{desk.base}/boxes")
    scan_quickly(page, ["S4-75", *copies], pause_ms)
    page.wait_for_url("**/shelves/S4-75")
    answered(page, "good", copies[-1])
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    with library.reading() as records:
        assert sorted(copy.accession for copy, _ in copies_at_place(records, "S4-75")) == copies
        assert count_waiting(records) == 0


@pytest.mark.parametrize("pause_ms", [0, 50, 150, 300, 600])
def test_a_book_right_after_a_label_goes_to_its_page(
    desk: Running, page: Page, library: Library, pause_ms: int
) -> None:
    a_label_then_books(desk, page, library, pause_ms)


@pytest.mark.parametrize("pause_ms", [0, 300])
def test_so_it_does_where_the_processor_is_slow(desk: Running, page: Page, library: Library, pause_ms: int) -> None:
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 6})
    a_label_then_books(desk, page, library, pause_ms)


def test_so_it_does_where_the_page_comes_late(desk: Running, page: Page, library: Library) -> None:
    page.add_init_script(LATE)
    a_label_then_books(desk, page, library, 150)


@pytest.mark.parametrize("pause_ms", [0, 300, 1000])
def test_each_label_of_a_shelf_opens_its_page_whatever_was_shelved_before(
    desk: Running, page: Page, library: Library, pause_ms: int
) -> None:
    page.goto(f"{desk.base}/unpack/B1-56")
    scan_quickly(page, list(NUMBERS[:3]), 300)
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    copies = sorted(unpacked(library))
    page.goto(f"{desk.base}/boxes")
    scan_quickly(page, ["S4-75", copies[0], "S3-84", copies[1], copies[2], "S4-75"], pause_ms)
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    page.wait_for_url("**/shelves/S4-75")
    with library.reading() as records:
        assert [copy.accession for copy, _ in copies_at_place(records, "S4-75")] == copies[:1], listed(page)
        assert sorted(copy.accession for copy, _ in copies_at_place(records, "S3-84")) == copies[1:], listed(page)
        assert count_waiting(records) == 0


def test_a_label_that_is_offered_for_the_book_before_it_says_that_it_was_not_opened(desk: Running, page: Page) -> None:
    page.goto(f"{desk.base}/unpack/B1-56")
    scan_quickly(page, [NUMBERS[0], "S4-75"], 300)
    expect(page.locator("#last li").first).to_contain_text("not opened: A1-59 may stand there")


def test_what_is_scanned_once_a_link_was_pressed_is_not_taken_on_the_page_that_is_left(
    desk: Running, page: Page, library: Library
) -> None:
    page.goto(f"{desk.base}/unpack/B1-56")
    # As the browser does when a link was pressed (HTML, navigation, from memory): the page hears keys until it is gone.
    page.evaluate("dispatchEvent(new Event('beforeunload'))")
    type_in(page, NUMBERS[0])
    expect(page.locator("#last li .mark.wait")).to_have_count(1)
    page.goto(f"{desk.base}/catalog")
    expect(page.locator("#answer")).to_contain_text("Divers")
    expect(page.locator("#last li .mark.wait")).to_have_count(0)
    assert not unpacked(library)


def press_link(page: Page, path: str) -> None:
    """Press a link as a finger does, and wait for nothing."""
    page.evaluate("(path) => document.querySelector(`a[href='${path}']`).click()", path)


@pytest.mark.parametrize("pause_ms", [0, 50, 150, 300])
def test_a_book_right_after_a_link_goes_to_the_page_it_leads_to(
    desk: Running, page: Page, library: Library, pause_ms: int
) -> None:
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 6})
    page.goto(f"{desk.base}/boxes/B1-56")
    page.evaluate("window.stays = true")
    press_link(page, "/unpack/B1-56")
    time.sleep(pause_ms / 1000)
    scan_quickly(page, list(NUMBERS[:2]), pause_ms)
    answered(page, "good", "Gannets")
    expect(page).to_have_url(f"{desk.base}/unpack/B1-56")
    assert page.evaluate("window.stays")
    assert set(unpacked(library).values()) == set(NUMBERS[:2])


def test_of_links_pressed_one_after_the_other_the_last_is_opened(desk: Running, page: Page) -> None:
    page.add_init_script(LATE)
    page.goto(f"{desk.base}/boxes/B1-56")
    before = page.evaluate("history.length")
    press_link(page, "/unpack/B1-56")
    press_link(page, "/catalog")
    type_in(page, NUMBERS[0])
    page.wait_for_url("**/catalog")
    expect(page.locator("#answer")).to_contain_text("Divers")
    assert page.evaluate("history.length") == before + 1, "the page between was not opened"


@pytest.mark.parametrize("status", [0, 404, 500])
def test_a_link_whose_page_does_not_come_is_gone_to_by_the_browser(desk: Running, page: Page, status: int) -> None:
    page.goto(f"{desk.base}/boxes/B1-56")
    page.evaluate("window.stays = true")
    refused: list[str] = []

    def refuse(route: Route) -> None:
        refused.append(route.request.resource_type)
        if len(refused) > 1:
            route.continue_()
        elif status:
            route.fulfill(status=status)
        else:
            route.abort()

    page.route("**/catalog", refuse)
    press_link(page, "/catalog")
    page.wait_for_url("**/catalog")
    expect(page.locator("#q")).to_be_visible()
    assert page.evaluate("window.stays") is None
    assert refused == ["fetch", "document"]


def test_a_link_to_a_file_or_within_a_page_or_to_another_window_is_left_to_the_browser(
    desk: Running, page: Page
) -> None:
    page.goto(f"{desk.base}/catalog")
    page.evaluate("window.stays = true")
    for attributes in ("download", "target=_blank", ""):
        href = "/boxes" if attributes else "#main"
        link = f"<a id=tried {attributes} href='{href}'>tried</a>"
        page.evaluate("(link) => document.querySelector('main').insertAdjacentHTML('afterbegin', link)", link)
        left = page.evaluate("""() => {
          const link = document.getElementById("tried");
          let left = null;
          const look = (event) => {
            left = !event.defaultPrevented;
            event.preventDefault();
          };
          addEventListener("click", look, { once: true });
          link.click();
          link.remove();
          return left;
        }""")
        assert left, attributes
    assert page.url == f"{desk.base}/catalog"


def test_the_last_step_of_a_box_is_the_last_after_each_scan_on_its_page(desk: Running, page: Page) -> None:
    page.goto(f"{desk.base}/boxes/B1-56")
    steps = []
    for number in NUMBERS[:2]:
        type_in(page, number)
        answered(page, "good")
        expect(page.locator("#last li .mark.wait")).to_have_count(0)
        undo = page.get_by_role("button", name="Undo the last step of this box")
        expect(undo).to_be_visible()
        entry = page.locator("#last li").first.get_by_role("button")
        expect(entry).to_be_visible()
        page.wait_for_timeout(600)  # two settling times of the page's report of changes
        steps.append(undo.inner_text())
    assert len(set(steps)) == 2, steps
    undo.click()
    expect(page.get_by_role("status").filter(has_text="Took back").first).to_be_visible()
    expect(page.locator("[data-live=lines] .mark.good")).to_have_count(1)


LATE = """(() => {
  const fetched = window.fetch;
  window.fetch = async (address, sent) => {
    if (/\\/(unpack|shelves|boxes)\\//.test(address)) await new Promise((resolve) => setTimeout(resolve, 1500));
    return fetched(address, sent);
  };
})()"""
"""A page that is asked for by script comes a second and a half late."""


def test_a_person_is_told_to_wait_while_a_page_comes_late(desk: Running, page: Page) -> None:
    page.add_init_script(LATE)
    page.goto(f"{desk.base}/catalog")
    type_in(page, "S4-75")
    expect(page.locator("#opening")).to_have_text("Opening S4-75, wait …")
    assert page.locator("#opening").evaluate("each => each.getBoundingClientRect().width / innerWidth") == 1
    page.wait_for_url("**/shelves/S4-75")
    expect(page.locator("#opening")).to_be_empty()
    expect(page.locator("#last li")).to_have_count(1)


def test_a_label_opens_its_page_in_place_as_a_link_would(desk: Running, page: Page) -> None:
    page.goto(f"{desk.base}/shelves/S4-75")
    by_link = page.locator("main").inner_html(), page.title(), page.locator("nav.places").inner_html()
    page.goto(f"{desk.base}/catalog")
    page.evaluate("window.stays = true; scrollTo(0, 999)")
    type_in(page, "S4-75")
    page.wait_for_url("**/shelves/S4-75")
    expect(page.locator("h1")).to_be_focused()
    assert page.evaluate("[window.stays, scrollY]") == [True, 0]
    assert page.title() == by_link[1]
    assert page.locator("nav.places").inner_html() == by_link[2]
    type_in(page, "B1-56")
    page.wait_for_url("**/unpack/B1-56")
    expect(page.locator("#text")).to_be_focused()
    expect(page.locator("#opening")).to_have_text(page.title())
    expect(page.locator("details[data-wide]")).to_have_attribute("open", "")
    expect(page.locator("#camera")).to_be_enabled()
    type_in(page, NUMBERS[0])
    answered(page, "good")
    page.locator("#last li").first.get_by_role("button").click()
    expect(page.locator("#last li").first).to_contain_text("taken back")
    page.go_back()
    expect(page.locator("h1")).not_to_contain_text("Box")
    expect(page).to_have_url(f"{desk.base}/shelves/S4-75")
    expect(page).to_have_title(by_link[1])
    page.go_back()
    expect(page.locator("#q")).to_be_visible()
    page.get_by_role("link", name="Boxes").click()
    page.wait_for_url("**/boxes")
    type_in(page, "B1-56")
    page.wait_for_url("**/unpack/B1-56")
    answered_box = page.locator("#bench")
    expect(answered_box).to_have_attribute("data-box", "B1-56")


@pytest.mark.parametrize("status", [0, 401, 500])
def test_a_page_that_cannot_be_opened_is_told_and_what_was_scanned_for_it(
    desk: Running, page: Page, library: Library, status: int
) -> None:
    page.add_init_script(LATE)
    page.goto(f"{desk.base}/catalog")
    page.route("**/unpack/*", lambda route: route.fulfill(status=status) if status else route.abort())
    scan_quickly(page, ["B1-56", NUMBERS[0]], 0)
    expect(page.locator("#last li .mark.stop")).to_have_count(2)
    assert "could not be opened" in listed(page)[1]
    assert "was not taken" in listed(page)[0]
    assert page.url == f"{desk.base}/catalog"
    assert not unpacked(library)


def test_a_page_of_another_version_of_the_desk_is_gone_to(desk: Running, page: Page, library: Library) -> None:
    page.add_init_script(LATE)
    page.goto(f"{desk.base}/catalog")
    page.evaluate("window.stays = true; document.querySelector('script[type=module]').src = '/static/older/app.js'")
    scan_quickly(page, ["B1-56", NUMBERS[0]], 0)
    page.wait_for_url("**/unpack/B1-56")
    answered(page, "good")
    assert page.evaluate("window.stays") is None
    assert list(unpacked(library).values()) == [NUMBERS[0]]


def test_an_inspection_begun_while_a_page_comes_late_is_kept(desk: Running, page: Page, library: Library) -> None:
    page.add_init_script(LATE)
    page.goto(f"{desk.base}/unpack/B1-56")
    type_in(page, NUMBERS[0])
    answered(page, "good")
    type_in(page, "B4-29")
    expect(page.locator("#opening")).not_to_be_empty()
    page.locator("#answer [data-inspection] > summary").first.click()
    expect(page.locator("#held")).to_be_visible()
    answered(page, "question", "B4-29")
    assert page.url == f"{desk.base}/unpack/B1-56"
