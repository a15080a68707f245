"""Pages of serials: the list, a ruler, and what an edition collects, on the desk's own library."""

import re
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, expect

from intake.edges import demo_scans
from intake.edges.store.library import Library
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_edition import plan_edition_edit
from intake.flow.demo import demo_runs
from intake.flow.runs.set_extent import set_extent
from intake.model.editions import Copy, Edition
from intake.model.serials import Serial
from tests.desk.conftest import Running, let_in, visit
from tests.desk.test_records import version_of
from tests.desk.test_two_people import form

TITLE = "Fen & Weir? 50% #2"
TITLE_PATH = f"/serials/{TITLE}"


HEARING = """window.SpeechRecognition = class {
    start() {
        setTimeout(() => {
            this.onresult({ results: [[{ transcript: "a gift of Perpetua" }]] });
            this.onend();
        });
    }
    stop() {}
};"""
"""The browser's recognition of speech, which a test has no voice for."""
NOT_HEARING = "delete window.SpeechRecognition; delete window.webkitSpeechRecognition;"


def extents(library: Library) -> list[str]:
    with library.reading() as reader:
        return [serial.extent for serial in reader.all(Serial)]


def test_a_serial_is_listed_drawn_and_corrected(desk: Running, library: Library) -> None:
    with library.reading() as reader:
        first, second = reader.all(Edition)[:2]
        plans = [
            plan_edition_edit(reader, str(edition.key), values=[f"collects={collects}"], station="test")
            for edition, collects in (
                (first, "Saltmarsh <Letters> 1-12, annual 1"),
                (second, "saltmarsh <letters> 15-20"),
            )
        ]
    for plan in plans:
        apply_correction(library, plan)
    station = let_in(desk)
    assert "19 of 21 parts held, 1 gap" in station.get("/serials").text
    assert "Saltmarsh &lt;Letters&gt;" in station.get("/serials").text
    page = station.get("/serials/saltmarsh%20%3Cletters%3E").text
    assert "<svg " in page
    assert "Saltmarsh &lt;Letters&gt;" in page
    assert "<Letters>" not in page
    assert "13-14" in page
    assert "Left after that: 13-14" in page
    edition = station.get(f"/editions/{first.id}").text
    assert "After 12: the next part, 13, is in no edition of the catalog." in edition
    assert re.search(r"twice</h2>.*Divers and Petrels, vol\. 1", station.get("/serials").text, re.DOTALL)
    assert station.get("/serials/nothing").status_code == 409


def test_what_the_extent_does_not_have_is_told_beside_what_to_look_for(desk: Running, library: Library) -> None:
    with library.reading() as reader:
        first = reader.all(Edition)[0]
        plan = plan_edition_edit(reader, str(first.key), values=["collects=Ebb Letters v. 3-4"], station="test")
    apply_correction(library, plan)
    set_extent(library, "Ebb Letters", "1-9", station="test")
    _, found, after = let_in(desk).get("/serials/Ebb%20Letters").text.partition("<h2>What to look for</h2>")
    beside, folded, below = after.partition("<details>")
    assert found
    assert folded
    assert beside.count("which the extent of Ebb Letters does not have") == 1
    assert "which the extent" not in below, "it is told once"


def test_why_a_copy_is_kept_is_typed_shown_and_found(desk: Running, library: Library) -> None:
    station = let_in(desk)
    with library.reading() as reader:
        number = reader.all(Copy)[0].accession
    page = station.get(f"/copies/{number}").text
    version = re.search(r'name="version" value="(\d+)"', page)
    assert version
    sent = {"why": "A wedding gift from Aunt <Perpetua>", "kept": "yes", "version": version[1]}
    assert station.post(f"/copies/{number}/why", **sent).status_code in (200, 303)
    page = station.get(f"/copies/{number}").text
    assert "Aunt &lt;Perpetua&gt;" in page
    assert f"/copies/{number}" in station.get("/catalog?q=perpetua wedding").text
    with library.reading() as reader:
        copy = reader.get(Copy, number)
    assert copy
    assert copy.kept
    again = station.post(f"/copies/{number}/why", why="Other words", version=version[1])
    assert again.status_code == 409, "it was changed since that form was opened"


def test_one_page_tells_the_cheapest_way_and_one_what_is_there_twice(desk: Running, library: Library) -> None:
    demo_runs.show(library, demo_scans.folder(None), library.folder, lambda _: None, station="test")
    station = let_in(desk)
    page = station.get("/serials/lanternfish").text
    assert "closes 105-119; 14.00 EUR" in page
    assert "The cheapest choice: together 30.00 EUR (proved)." in page
    listed = station.get("/serials").text
    assert "Together they free 37 mm of shelf." in listed
    version = version_of(station.get("/serials/lanternfish").text)
    sent = station.post("/serials/lanternfish", extent="1-160", version=version)
    assert sent.status_code in (200, 303)
    assert "125 of 160 parts held" in station.get("/serials/lanternfish").text
    assert station.post("/serials/lanternfish", extent="160-1", version=version).status_code == 400
    asked = station.get("/api/collects?text=Lanternfish Weekly 1-3; Tide Annual 9-7").json()["message"]
    assert asked.startswith("? '9-7' at character")
    asked = station.get("/api/collects?text=lanternfish weekly %231-3, 3").json()["message"]
    assert asked == "✓ lanternfish weekly: 1-3 (3 parts). '3' names parts that were named before."


@pytest.mark.parametrize("other", ["1-24", ""], ids=["written", "removed"])
def test_of_two_that_say_how_far_a_serial_goes_the_second_chooses(desk: Running, library: Library, other: str) -> None:
    with library.reading() as reader:
        key = str(reader.all(Edition)[0].key)
        plan = plan_edition_edit(reader, key, values=['collects="Fen & Weir? 50% #2" 1-12'], station="test")
    apply_correction(library, plan)
    set_extent(library, TITLE, "1-12", station="test")
    station, path = let_in(desk), f"/serials/{quote(TITLE, safe='')}"
    opened = form(station.get(path).text, path)
    assert station.post(path, **{**opened, "extent": other}).status_code == 303
    late = station.post(path, **{**opened, "extent": "1-20"})
    assert late.status_code == 409
    assert extents(library) == ([other] if other else [])
    for value in (other, "1-20", "1-12"):
        assert value in late.text, "what another wrote, what this person wrote, and what it was"
    chooses = form(late.text, quote(TITLE_PATH))
    assert station.post(quote(TITLE_PATH), **{**chooses, "extent": "1-20"}).status_code == 303
    assert extents(library) == ["1-20"]


@pytest.mark.slow
def test_why_it_is_kept_is_dictated_where_the_browser_hears(desk: Running, chromium: Browser, library: Library) -> None:
    with library.reading() as reader:
        number = reader.all(Copy)[0].accession
    with visit(chromium, desk.link) as page:
        page.add_init_script(HEARING)
        page.goto(f"{desk.base}/copies/{number}")
        assert page.evaluate("document.featurePolicy.allowsFeature('microphone')")
        page.locator("summary", has_text="Why it is kept").click()
        page.get_by_role("button", name="Dictate").click()
        expect(page.locator("textarea[name=why]")).to_have_value("a gift of Perpetua")
        expect(page.get_by_text("server of their maker")).to_be_visible()
        page.locator("form[action$=why] button.main").click()
        page.goto(f"{desk.base}/catalog?q=perpetua+gift")
        expect(page.locator(f"a[href='/copies/{number}']")).to_be_visible()
    with visit(chromium, desk.link) as page:
        page.add_init_script(NOT_HEARING)
        page.goto(f"{desk.base}/copies/{number}")
        page.locator("summary", has_text="Why it is kept").click()
        expect(page.locator("textarea[name=why]")).to_be_visible()
        assert page.get_by_role("button", name="Dictate").count() == 0
