"""The desk as a person meets it: Debian's Chromium, its fake camera fed with the demonstration's photographs."""

import time
from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright, Route, expect

from intake.edges import network
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies, box_by_list, copies_at_place
from intake.edges.store.queries.editions import editions_by_number
from intake.edges.store.queries.ledger_entries import count_records
from intake.edges.store.queries.sightings import count_waiting, sightings_of
from intake.identifiers.own import serial_of
from intake.model.editions import Copy, CopyState, Edition
from tests.desk.conftest import (
    ALLOWED,
    PHOTOGRAPHS,
    WIDE,
    Running,
    browser,
    eventually,
    film,
    let_in,
    running,
    until,
    visit,
)  # fmt: skip

pytestmark = pytest.mark.slow

BOX = PHOTOGRAPHS / "box-1"
EASY = ("01", "02", "03", "06", "12")
"""Photographs of box 1 that any frame of a film shows as clearly."""

AFTER_SCAN_MS = 300
"""An Enter sooner after a scan is taken for the scanner's second key; a person has to read the answer first."""


@pytest.fixture
def unpacking(desk: Running, chromium: Browser) -> Iterator[Page]:
    with visit(chromium, desk.link) as page:
        page.goto(f"{desk.base}/unpack/1")
        yield page


def truth(name: str) -> set[str]:
    """Return the numbers that a photograph shows, from the file beside it."""
    return {line.split()[0] for line in (BOX / f"{name}.txt").read_text(encoding="utf-8").splitlines() if line.strip()}


def unpacked(library: Library, box: str = "1") -> dict[str, str]:
    """Return the numbers of the editions of what was taken out of a box, by copy."""
    with library.reading() as records:
        boxes = [held for held in list_boxes(records) if str(serial_of(held.number)) == box]
        listed, surplus = box_by_list(records, boxes[0].number)
        copies = [copy for copy in (*listed, *surplus) if copy.state is CopyState.UNPACKED]
        editions = {copy.accession: records.get(Edition, copy.edition_id) for copy in copies}
        return {accession: (edition.number or "") if edition else "" for accession, edition in editions.items()}


def type_in(page: Page, text: str) -> None:
    """Type as a handheld scanner does: a key every 5 ms by the time the keys carry, and Enter at the end."""
    keyboard = page.context.new_cdp_session(page)
    begun = time.time()
    for nth, key in enumerate([*text, "Enter"]):
        typed = {"text": "\r", "windowsVirtualKeyCode": 13} if key == "Enter" else {"text": key}
        stamp = {"key": key, "timestamp": begun + nth * 0.005}
        keyboard.send("Input.dispatchKeyEvent", {"type": "keyDown", **stamp, **typed})
        keyboard.send("Input.dispatchKeyEvent", {"type": "keyUp", **stamp})
    keyboard.detach()


def answered(page: Page, kind: str, text: str = "") -> None:
    expect(page.locator(f"#answer.{kind}")).to_contain_text(text)


def test_a_whole_box_by_camera_file_and_scanner(
    desk: Running, playwright: Playwright, library: Library, tmp_path: Path
) -> None:
    played = film([BOX / f"{name}.jpg" for name in EASY], tmp_path / "box.y4m", seconds_each=1.5)
    wanted = {number for name in EASY for number in truth(name)}
    with (
        browser(playwright, ALLOWED, f"--use-file-for-fake-video-capture={played}") as chromium,
        visit(chromium, desk.link) as page,
    ):
        page.get_by_role("link", name="Box B1-56").click()
        page.get_by_role("button", name="Live camera").click()
        until(lambda: wanted <= set(unpacked(library).values()), 25)
        assert set(unpacked(library).values()) == wanted, "nothing but what the photographs show"
        page.get_by_role("button", name="Stop camera").click()
        for name, title in (("05", "Owls"), ("07", "Måger"), ("08", "Fern"), ("10", "The Shingle Review 42")):
            page.set_input_files("#file", BOX / f"{name}.jpg")
            answered(page, "good", title)
        page.set_input_files("#file", BOX / "09.jpg")
        answered(page, "question", "2 editions carry this number")
        page.locator("#answer").get_by_role("button", name="Lichens on Old Walls").first.click()
        answered(page, "good", "Lichens on Old Walls")
        type_in(page, "99998-40-25-6")
        answered(page, "good", "Bärlappe")
        # One wrong digit: what it would be with a right one is in this box, and a person says whether it is meant.
        type_in(page, "99998-40-47-6")
        answered(page, "question", "99998-40-47-6")
        page.locator("#answer").get_by_role("button", name="Nadelgehölze").first.click()
        answered(page, "good", "Nadelgehölze")
        page.locator("#text").fill("copperplate moths")
        expect(page.locator("#titles li").first).to_contain_text("Copperplate Moths")
        page.locator("#text").press("ArrowDown")
        page.locator("#text").press("Enter")
        answered(page, "question", "Copperplate")
        page.locator("#answer").get_by_role("button", name="The Copperplate Moths").first.click()
        answered(page, "good", "Copperplate")
        expect(page.locator("[data-live=head]")).to_contain_text("14 of 16 found")
    assert len(unpacked(library)) == 14


def test_the_symbol_is_outlined_and_the_same_book_counts_once(
    desk: Running, playwright: Playwright, library: Library, tmp_path: Path
) -> None:
    played = film([BOX / "01.jpg"], tmp_path / "one.y4m")
    with (
        browser(playwright, ALLOWED, f"--use-file-for-fake-video-capture={played}") as chromium,
        visit(chromium, desk.link) as page,
    ):
        page.goto(f"{desk.base}/unpack/1")
        page.get_by_role("button", name="Live camera").click()
        answered(page, "good", "Divers and Petrels")
        expect(page.locator("#outline polygon.sure")).to_have_count(1)
        page.wait_for_timeout(1500)
        with library.reading() as records:
            assert count_waiting(records) == 0
            assert len(sightings_of(records, next(iter(unpacked(library))))) == 1
        page.get_by_role("button", name="One more").click()
        answered(page, "question")


@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("", "only over TLS"),
        ("NotAllowedError", "refused"),
        ("NotReadableError", "Another"),
        ("NotFoundError", "no camera"),
    ],
)
def test_a_camera_that_is_refused_or_taken_leaves_the_other_ways(unpacking: Page, why: str, said: str) -> None:
    if why:
        unpacking.evaluate(
            "(why) => { navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', why)); }", why
        )
    else:  # a page without TLS
        unpacking.evaluate("() => { delete Navigator.prototype.mediaDevices; }")
    unpacking.get_by_role("button", name="Live camera").click()
    expect(unpacking.locator("#camera-message")).to_contain_text(said)
    unpacking.set_input_files("#file", BOX / "01.jpg")
    answered(unpacking, "good", "Divers and Petrels")


def test_a_scanner_types_wherever_the_focus_is(unpacking: Page, library: Library) -> None:
    unpacking.locator("#sound").focus()
    type_in(unpacking, "9789999812252")
    answered(unpacking, "good", "Divers and Petrels")
    unpacking.wait_for_timeout(AFTER_SCAN_MS)
    unpacking.locator("#text").press("Enter")
    expect(unpacking.locator("#facts-open")).to_have_attribute("open", "")
    type_in(unpacking, "9789999812429")
    answered(unpacking, "good", "Gannets")
    assert set(unpacked(library).values()) == {"9789999812252", "9789999812429"}
    with library.reading() as records:
        assert all(copy.grade != "Poor" for copy, _ in all_copies(records) if copy.accession in unpacked(library))


def test_facts_by_one_key_each_and_taken_back(unpacking: Page, library: Library) -> None:
    type_in(unpacking, "9789999812597")
    answered(unpacking, "good", "Gulls")
    unpacking.wait_for_timeout(AFTER_SCAN_MS)
    unpacking.keyboard.press("Enter")
    for key in ("4", "n", "u"):
        unpacking.keyboard.press(key)
        unpacking.wait_for_timeout(120)
    unpacking.keyboard.press("Enter")
    expect(unpacking.locator("#facts-message")).to_have_text("Saved.")
    copy = next(iter(unpacked(library)))
    with library.reading() as records:
        held = records.get(Copy, copy)
    assert held is not None
    assert (held.grade, held.has_jacket, held.wrapped) == ("Very Good", False, False)
    unpacking.goto(unpacking.url.replace("/unpack/1", f"/copies/{copy}"))
    unpacking.get_by_role("button", name="Take this back").first.click()
    expect(unpacking.locator(".message")).to_contain_text("Took back")
    with library.reading() as records:
        taken_back = records.get(Copy, copy)
        assert taken_back is not None
        assert taken_back.grade is None


def test_a_wrong_number_and_a_step_back(unpacking: Page, library: Library) -> None:
    type_in(unpacking, "9789999812252")
    answered(unpacking, "good")
    unpacking.get_by_role("button", name="Take this back").click()
    expect(unpacking.locator("#answer")).to_contain_text("Took back")
    assert unpacked(library) == {}
    unpacking.locator("#text").fill("9789999812253")
    expect(unpacking.locator("#help")).to_contain_text("?")
    unpacking.get_by_role("option").filter(has_text="9789999812252").first.click()
    answered(unpacking, "good", "Divers and Petrels")


def test_who_comes_back_to_the_answer_of_a_form_gets_its_page_and_sends_nothing_twice(
    desk: Running, chromium: Browser, library: Library
) -> None:
    with visit(chromium, desk.link) as page:
        page.goto(f"{desk.base}/steps/rate")
        for field, text in (("base", "EUR"), ("currency", "SEK"), ("rate", "11.25")):
            page.locator(f"[name={field}]").fill(text)
        page.locator("main form button").first.click()
        expect(page.locator("main")).to_contain_text("Nothing has changed yet")
        page.locator("main button.main").last.click()
        expect(page.locator("main")).not_to_contain_text("Nothing has changed yet")
        with library.reading() as records:
            entries = count_records(records).entries
        page.goto(f"{desk.base}/boxes")
        for _ in range(2):
            page.go_back()
            expect(page.locator("h1")).to_contain_text("rate", ignore_case=True)
        page.reload()
        expect(page.locator("h1")).to_contain_text("rate", ignore_case=True)
        with library.reading() as records:
            assert count_records(records).entries == entries


def test_html_in_a_title_is_only_text(desk: Running, unpacking: Page) -> None:
    nasty = '<img src=x onerror="document.title=1"><b>bold</b>'
    with desk.library.reading() as records:
        edition = editions_by_number(records, "9789999812252")[0]
    station = let_in(desk)
    version = station.version(f"/editions/{edition.id}")
    form = {"title": nasty, "form_token": station.token, "version": version}
    station.client.post(f"/editions/{edition.id}", data=form, headers={"Origin": desk.base})
    type_in(unpacking, "9789999812252")
    answered(unpacking, "good", nasty)
    assert unpacking.locator("#answer img, #answer .title b").count() == 0
    assert unpacking.title() != "1"


def test_two_browsers_see_each_others_changes_and_make_one_copy(
    desk: Running, chromium: Browser, library: Library
) -> None:
    with visit(chromium, desk.link) as one, visit(chromium, desk.link, size=WIDE) as two:
        for page in (one, two):
            page.goto(f"{desk.base}/unpack/1")
            expect(page.locator("#link")).to_have_text("connected")
        type_in(one, "9789999812597")
        answered(one, "good")
        expect(two.locator("[data-live=head]")).to_contain_text("1 of 16 found", timeout=1500)
        type_in(two, "9789999812597")
        answered(two, "question", "again")
        expect(one.locator(".count")).to_contain_text("1", timeout=1500)
    assert len(unpacked(library)) == 1


def test_offline_scans_wait_and_are_sent_once(unpacking: Page, library: Library) -> None:
    unpacking.context.set_offline(True)
    type_in(unpacking, "9789999812252")
    type_in(unpacking, "9789999812429")
    unpacking.set_input_files("#file", BOX / "03.jpg")
    expect(unpacking.locator("#kept")).to_contain_text("3 scans wait")
    assert unpacked(library) == {}
    unpacking.context.set_offline(False)
    until(lambda: len(unpacked(library)) == 3, 15)
    expect(unpacking.locator("#kept")).to_be_hidden()
    with library.reading() as records:
        assert count_waiting(records) == 0
        assert all(len(sightings_of(records, copy)) == 1 for copy in unpacked(library))


def test_what_waits_outlives_the_page_and_a_lost_answer_counts_once(unpacking: Page, library: Library) -> None:
    """The desk books the scan, but its answer is lost; the page is closed, opened again, and sends it again."""
    unpacking.route("**/api/scan", lambda route: (route.fetch(), route.abort()))
    type_in(unpacking, "9789999812252")
    expect(unpacking.locator("#kept")).to_contain_text("1 scan waits")
    eventually(unpacking, lambda: unpacked(library))
    unpacking.unroute_all(behavior="ignoreErrors")  # it may be sent anew just now
    unpacking.reload()
    answered(unpacking, "good", "Divers and Petrels")
    expect(unpacking.locator("#kept")).to_be_hidden()
    with library.reading() as records:
        assert len(sightings_of(records, next(iter(unpacked(library))))) == 1
        assert count_waiting(records) == 0


YESTERDAY = """
(picture) => new Promise((resolve, reject) => {
  indexedDB.deleteDatabase("intake");
  const asked = indexedDB.open("intake", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore("sent", { keyPath: "nth", autoIncrement: true });
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const change = asked.result.transaction("sent", "readwrite");
    const bytes = Uint8Array.from(atob(picture), (each) => each.charCodeAt(0)).buffer;
    const sent = change.objectStore("sent");
    sent.add({ box: "B1-56", request: "a", at: 1, text: "9789999812252" });
    sent.add({ box: "B1-56", request: "b", at: 2, picture: bytes, type: "image/jpeg", shutter: 9 });
    sent.add({ box: "B1-56", request: "c", at: 3, text: "9789999812429" });
    change.oncomplete = () => { asked.result.close(); resolve(); };
  };
})
"""
"""Leaves scans waiting in the browser as the page did when a picture was a part of its scan."""


def test_what_waits_from_before_the_pictures_were_kept_apart_is_sent(
    desk: Running, chromium: Browser, library: Library
) -> None:
    with visit(chromium, desk.link) as page:
        page.goto(f"{desk.base}/pair")  # the one kind of page that does not look for what waits
        page.evaluate(YESTERDAY, b64encode((BOX / "03.jpg").read_bytes()).decode())
        sent: list[str] = []
        page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
        page.goto(f"{desk.base}/unpack/1")
        until(lambda: len(unpacked(library)) == 3, 15)
        assert set(unpacked(library).values()) == {"9789999812252", "9789999812429", *truth("03")}
        expect(page.locator("#kept")).to_be_hidden()
    assert [url.removeprefix(desk.base).partition("?")[0] for url in sent] == ["/api/scan", "/api/picture", "/api/scan"]


def test_many_scans_wait_behind_one_probe(unpacking: Page, library: Library) -> None:
    """The desk does not answer: only the first in the row is tried, and one answer sends all."""
    probes: list[str] = []

    def unanswered(route: Route) -> None:
        probes.append(str(route.request.post_data))
        route.abort()

    unpacking.route("**/api/scan", unanswered)
    numbers = ["9789999812252", "9789999812429", "9789999812597"]
    for number in numbers:
        type_in(unpacking, number)
    expect(unpacking.locator("#kept")).to_contain_text("3 scans wait")
    assert len(set(probes)) == 1
    unpacking.unroute("**/api/scan")
    unpacking.evaluate("() => window.dispatchEvent(new Event('online'))")
    until(lambda: len(unpacked(library)) == 3, 15)
    assert set(unpacked(library).values()) == set(numbers)
    expect(unpacking.locator("#kept")).to_be_hidden()


def test_a_query_is_decided_by_search_and_by_a_new_edition(desk: Running, chromium: Browser, library: Library) -> None:
    station = let_in(desk)
    station.post("/api/scan", box="1", text="9795118474034", request="q1")
    station.send("/api/picture?box=1&request=q2", (BOX / "04.jpg").read_bytes())
    with visit(chromium, desk.link) as page:
        page.goto(f"{desk.base}/pile/1")
        page.get_by_text("It is an edition the catalog does not have").click()
        page.locator("#title").fill("Lanterns on the Lowmarch Dykes")
        page.get_by_role("button", name="Record it and this copy").click()
        expect(page.locator(".message")).to_contain_text("new edition")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Query 2")  # the next question follows
        assert page.locator("img").first.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
        page.locator("#q").fill("owls")
        page.get_by_role("button", name="Search").click()
        page.get_by_role("button", name="Owls of the Long Dusk").first.click()
        expect(page.locator("main")).to_contain_text("Nothing waits")
    assert len(unpacked(library)) == 2


def test_a_query_that_was_decided_on_the_pile_is_no_question_among_the_last_scans(
    desk: Running, unpacking: Page
) -> None:
    type_in(unpacking, "9790000000001")
    last = unpacking.locator("#last li").first
    expect(last.get_by_role("link", name="query 1")).to_be_visible()
    station = let_in(desk)
    assert station.post("/pile/1/aside").status_code == 303
    expect(last).to_contain_text("query 1: not a book")
    expect(last.get_by_role("button")).to_have_count(0)
    unpacking.goto(f"{desk.base}/boxes")
    expect(unpacking.locator("#last li").first).to_contain_text("query 1: not a book")


def test_labels_are_shown_as_the_real_pdf(desk: Running, chromium: Browser) -> None:
    with visit(chromium, desk.link, size=WIDE) as page:
        page.get_by_role("link", name="Papers").click()
        with page.expect_response("**/papers/shelf-labels.pdf*") as shown:
            page.get_by_role("link", name="Shelf labels").click()
        assert shown.value.headers["content-type"] == "application/pdf"
        data = page.request.get(f"{desk.base}/papers/shelf-labels.pdf").body()
        assert data.startswith(b"%PDF-")


@pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")
def test_a_phone_pairs_over_tls_and_has_the_live_camera(
    playwright: Playwright, library: Library, tmp_path: Path
) -> None:
    played = film([BOX / "01.jpg"], tmp_path / "one.y4m")
    with (
        running(library, tmp_path / "keys", lan=True, tls=True) as desk,
        browser(playwright, ALLOWED, f"--use-file-for-fake-video-capture={played}") as chromium,
        visit(chromium, desk.link, size=WIDE) as laptop,
    ):
        laptop.get_by_role("link", name="Pair a phone").click()
        code = laptop.locator("#code").inner_text()
        with visit(chromium, f"{desk.opened.desk.endpoint.phone}/pair?code={code}") as phone:
            phone.get_by_role("button", name="Pair and begin").click()
            phone.get_by_role("link", name="Box B1-56").click()
            assert phone.evaluate("isSecureContext")
            phone.get_by_role("button", name="Live camera").click()
            answered(phone, "good", "Divers and Petrels")
        expect(laptop.locator("#news")).to_contain_text("unpack copy")


def test_a_shelf_label_after_a_book_puts_it_there(unpacking: Page, library: Library) -> None:
    type_in(unpacking, "9789999812597")
    answered(unpacking, "good", "Gulls")
    type_in(unpacking, "S4-75")
    answered(unpacking, "question", "This is a label, not a book")
    (copy,) = unpacked(library)
    unpacking.get_by_role("button", name=f"Copy {copy} stands there now").click()
    expect(unpacking.locator("#answer")).to_contain_text("stands at")
    with library.reading() as records:
        assert [copy.place for copy, _ in copies_at_place(records, "S4-75")] == ["S4-75"]
        assert count_waiting(records) == 0
