"""The queue of scans, inspections and older forms as a person meets them, in Debian's Chromium."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from intake.edges.store.library import Library
from intake.model.editions import Copy, Edition
from tests.desk.conftest import WIDE, Running, eventually, let_in, visit
from tests.desk.test_browser import answered, type_in, unpacked

pytestmark = pytest.mark.slow

FIRST, SECOND, THIRD = "9789999812252", "9789999812429", "9789999812597"

LISTENED = """
() => {
  window.heard = [];
  const made = AudioContext.prototype.createOscillator;
  AudioContext.prototype.createOscillator = function () {
    const tone = made.call(this);
    window.heard.push(tone);
    return tone;
  };
}
"""
"""Remembers the tones that a page plays."""

REACHED = "document.addEventListener('desk:reached', () => { window.isReached = true; })"
"""Remembers that the desk's stream of events was opened."""


@pytest.fixture
def unpacking(desk: Running, chromium: Browser) -> Iterator[Page]:
    with visit(chromium, desk.link) as page:
        page.add_init_script(REACHED)
        page.goto(f"{desk.base}/unpack/1")
        yield page


def failing(text: str, status: int, tries: list[str]) -> object:
    def answer(route: Route) -> None:
        body = route.request.post_data_json
        if body and body["text"] == text:
            tries.append(body["request"])
            route.fulfill(status=status, json={"kind": "stop", "sentence": "The desk had an error."})
        else:
            route.continue_()

    return answer


@pytest.mark.parametrize(("status", "sent"), [(500, 2), (422, 1), (409, 1)])
def test_an_odd_scan_is_set_aside_and_the_rest_goes_on(
    unpacking: Page, library: Library, status: int, sent: int
) -> None:
    tries: list[str] = []
    unpacking.route("**/api/scan", failing(FIRST, status, tries))  # type: ignore[arg-type] # it is called with a route
    for number in (FIRST, SECOND, THIRD):
        type_in(unpacking, number)
    eventually(unpacking, lambda: set(unpacked(library).values()) == {SECOND, THIRD})
    kept = unpacking.locator("#kept")
    expect(kept).to_contain_text(FIRST)
    expect(kept).to_contain_text("The desk had an error.")
    assert len(tries) == sent
    assert len(set(tries)) == 1, "the same request each time"
    unpacking.unroute("**/api/scan")
    unpacking.reload()
    expect(kept).to_contain_text(FIRST)
    kept.get_by_role("button", name="Send again").click()
    eventually(unpacking, lambda: set(unpacked(library).values()) == {FIRST, SECOND, THIRD})
    expect(kept).to_be_hidden()


def test_what_was_set_aside_can_be_thrown_away(unpacking: Page, library: Library) -> None:
    unpacking.route("**/api/scan", failing(FIRST, 409, []))  # type: ignore[arg-type] # as above
    type_in(unpacking, FIRST)
    kept = unpacking.locator("#kept")
    kept.get_by_role("button", name="Throw away").click()
    expect(kept).to_be_hidden()
    unpacking.unroute("**/api/scan")
    unpacking.reload()
    type_in(unpacking, SECOND)
    eventually(unpacking, lambda: set(unpacked(library).values()) == {SECOND})


def test_offline_is_seen_and_heard_at_once(unpacking: Page) -> None:
    unpacking.evaluate(LISTENED)
    unpacking.locator("#text").click()  # browsers play nothing before the first press
    unpacking.wait_for_function("window.isReached")  # a stream that opens after would say that the desk is there
    unpacking.context.set_offline(True)
    expect(unpacking.locator("#link")).to_have_text("no connection")
    expect(unpacking.locator("#flash.wait")).to_be_attached()
    eventually(unpacking, lambda: unpacking.evaluate("() => window.heard.length > 0"))
    before = unpacking.evaluate("() => window.heard.length")
    type_in(unpacking, FIRST)
    expect(unpacking.locator("#kept")).to_contain_text("1 scan waits")
    eventually(unpacking, lambda: unpacking.evaluate("() => window.heard.length") > before)
    expect(unpacking.locator("#kept")).to_be_in_viewport()
    unpacking.context.set_offline(False)


def test_a_scan_that_waits_for_another_writer_says_for_whom(unpacking: Page, library: Library) -> None:
    with library.writing("the long import"):
        type_in(unpacking, FIRST)
        expect(unpacking.locator("#kept")).to_contain_text("the long import", timeout=10_000)
    answered(unpacking, "good", "Divers and Petrels")
    expect(unpacking.locator("#kept")).to_be_hidden()


def test_an_inspection_stays_when_the_next_scan_comes(unpacking: Page, library: Library) -> None:
    type_in(unpacking, FIRST)
    answered(unpacking, "good", "Divers and Petrels")
    unpacking.get_by_text("Condition and printing").click()
    unpacking.get_by_label("Damage to the spine").fill("torn; faded")
    type_in(unpacking, SECOND)
    answered(unpacking, "good", "stays open below")
    held = unpacking.locator("#held")
    spine = held.get_by_label("Damage to the spine")
    expect(spine).to_have_value("torn; faded")
    expect(spine).to_be_focused()
    spine.press("End")
    unpacking.keyboard.type(" a little")
    held.get_by_role("button", name="Save").click()
    expect(held).to_be_hidden()
    first = next(accession for accession, number in unpacked(library).items() if number == FIRST)
    with library.reading() as records:
        copy = records.get(Copy, first)
    assert copy is not None
    assert copy.condition.startswith("spine: torn; spine: faded a little")
    answered(unpacking, "good", "Copy")


def test_two_inspect_the_same_copy_and_the_second_chooses_on_the_spot(
    desk: Running, unpacking: Page, library: Library
) -> None:
    type_in(unpacking, FIRST)
    answered(unpacking, "good", "Divers and Petrels")
    (copy,) = unpacked(library)
    station = let_in(desk)
    other = {"copy": copy, "version": station.version(f"/copies/{copy}"), "part-spine": "faded", "grade": "Good"}
    assert station.post("/api/facts", **other).status_code == 200
    unpacking.get_by_text("Condition and printing").click()
    unpacking.get_by_label("Damage to the spine").fill("torn")
    unpacking.get_by_role("button", name="Save").click()
    answer = unpacking.locator("#answer")
    expect(answer).to_contain_text("was changed by")
    answer.get_by_label("torn").check(force=True)
    answer.get_by_role("button", name="Save what is chosen").click()
    expect(answer.locator("[data-facts-message]")).to_contain_text("Saved.")
    with library.reading() as records:
        saved = records.get(Copy, copy)
    assert saved is not None
    assert (saved.grade, saved.condition.split("; ")[0]) == ("Good", "spine: torn")


def test_two_correct_an_edition_and_the_second_chooses(desk: Running, chromium: Browser, library: Library) -> None:
    with visit(chromium, desk.link, size=WIDE) as one, visit(chromium, desk.link) as two:
        for page in (one, two):
            page.goto(f"{desk.base}/editions/1")
            page.get_by_text("Correct this entry").click()
        one.get_by_label("Publisher").fill("First Press")
        one.get_by_role("button", name="Save").click()
        expect(one.locator(".message")).to_contain_text("Saved.")
        two.get_by_label("Publisher").fill("Second Press")
        two.get_by_label("Subject").fill("Birds of the shore")
        two.get_by_role("button", name="Save").click()
        expect(two.locator("h1")).to_contain_text("changed meanwhile")
        expect(two.locator("main")).to_contain_text("First Press")
        two.get_by_label("Second Press").check(force=True)
        two.get_by_role("button", name="Save what is chosen").click()
        expect(two.locator(".message")).to_contain_text("Saved.")
    with library.reading() as records:
        edition = records.get(Edition, 1)
    assert edition is not None
    assert (edition.publisher, edition.subject) == ("Second Press", "Birds of the shore")


def test_line_breaks_and_joiners_come_through_a_form(desk: Running, chromium: Browser, library: Library) -> None:
    """A form sends line breaks as CRLF and a text area drops the first (HTML Living Standard, 4.10.11 and 4.10.21)."""
    text = "می‌خواهم\n\n👩‍🔧; the third line"  # with U+200C and U+200D
    with visit(chromium, desk.link) as page:
        for _ in range(2):  # typed, then saved again as it is shown
            page.goto(f"{desk.base}/copies/A1-59")
            page.get_by_text("Condition and printing").click()
            note = page.get_by_label("Note")
            if note.input_value() != text:
                note.fill(text)
            page.locator("form").filter(has=note).get_by_role("button", name="Save").click()
            expect(page.locator(".message")).to_be_visible()
            with library.reading() as records:
                copy = records.get(Copy, "A1-59")
            assert copy is not None
            assert copy.note == text
