"""The desk at arm's length: touches and keys counted, the place read from two metres, scans on any page, in Chromium.

Legibility. A CSS pixel is 0.0213 degrees at arm's length of 28 inches (CSS Values and Units 3, 5.2, reference pixel).
Capitals of a sans-serif face are about 0.7 em high. Letters of 16 minutes of arc are the least for comfortable reading
of displays, 20 to 22 preferred (ISO 9241-303, from memory); 5 minutes are the letter that an eye of acuity 1.0 just
reads (Snellen; ISO 8596, from memory).
"""

from collections.abc import Iterator
from math import atan, degrees, pi, tan

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from intake.desk.static_files import read_files
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import condition_reports
from intake.edges.store.queries.copies import copies_at_place
from intake.edges.store.queries.sightings import count_waiting
from intake.flow.lookup.resolve import find_copy
from intake.model.condition import Occasion
from intake.model.editions import CopyState, Grade
from tests.desk.conftest import PHONE, PHOTOGRAPHS, WIDE, Running, eventually, let_in, visit
from tests.desk.test_accessible import fits, violations
from tests.desk.test_browser import answered, type_in, unpacked

pytestmark = pytest.mark.slow

NEVER_GRADED = "9795744423116"
DIVERS, GANNETS, GULLS = "9789999812252", "9789999812429", "9789999812597"
LICHENS_TWICE = "9795220478661"
BOX = PHOTOGRAPHS / "box-1"
LARGEST_SCRIPT = 120_000
"""Bytes of script and style that a page may load, all modules together."""


@pytest.fixture
def page(desk: Running, chromium: Browser) -> Iterator[Page]:
    with visit(chromium, desk.link, size=WIDE) as page:
        page.goto(f"{desk.base}/unpack/1")
        yield page


COUNTED = """
window.touches = 0;
for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, (event) => { touches += event.isTrusted; }, true);
"""


def touches(page: Page) -> int:
    """Return how many touches and keys a person has needed since `COUNTED` ran; a scanner's keys are counted apart."""
    return int(page.evaluate("touches"))


def scan(page: Page, number: str) -> None:
    """Scan, without counting the scanner's own keys."""
    before = touches(page)
    type_in(page, number)
    page.evaluate("(before) => { window.touches = before; }", before)


def test_touches_and_keys_of_the_commonest_steps(page: Page, library: Library, desk: Running) -> None:
    """The numbers only fall."""
    counts: dict[str, int] = {}
    page.evaluate(COUNTED)

    def spent(step: str) -> None:
        counts[step] = touches(page)
        page.evaluate("() => { window.touches = 0; }")

    scan(page, NEVER_GRADED)
    answered(page, "good", "Aves del")
    spent("a plain book by scanner")
    page.keyboard.press("F2")
    expect(page.locator("#facts-message")).to_have_text("Saved.")
    spent("a clean inspection")
    (copy,) = unpacked(library)
    with library.reading() as records:
        assert find_copy(records, copy).grade is Grade.FINE
    page.locator("#last li").nth(0).get_by_role("button").click()
    expect(page.locator("#last li").nth(0)).to_contain_text("taken back")
    spent("undo")
    with library.reading() as records:
        assert find_copy(records, copy).grade is None
    scan(page, LICHENS_TWICE)
    answered(page, "question")
    page.locator("#answer").get_by_role("button", name="Lichens on Old Walls").first.click()
    answered(page, "good", "Lichens on Old Walls")
    spent("a question")
    page.locator("#answer").get_by_role("link", name="Its label").click()
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Open to print").click()
    assert opened.value.url.startswith(f"{desk.base}/papers/copy-flags.pdf?copies=A")
    opened.value.close()
    spent("the label of this copy")
    assert counts == {
        "a plain book by scanner": 0,
        "a clean inspection": 1,
        "undo": 1,
        "a question": 1,
        "the label of this copy": 2,
    }


def minutes_of_arc(font_px: float, at_mm: float) -> float:
    """Return the angle of a capital letter, from the size of its font in CSS pixels."""
    pixel_mm = 28 * 25.4 * tan(0.0213 * pi / 180)
    return 60 * degrees(2 * atan(0.7 * font_px * pixel_mm / (2 * at_mm)))


def test_the_place_is_the_largest_and_first_and_is_read_from_two_metres(page: Page) -> None:
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    sizes = """[...document.querySelectorAll("#answer *")].filter((each) => each.checkVisibility())
        .map((each) => parseFloat(getComputedStyle(each).fontSize))"""
    for size in (WIDE, PHONE):
        page.set_viewport_size(size)
        place = page.locator("#answer .destination")
        font_px = place.evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
        assert minutes_of_arc(font_px, 2000) >= 16
        assert max(page.evaluate(sizes)) == font_px
        tops = [page.locator(f"#answer {each}").bounding_box() for each in (".destination", ".strip", "h2")]
        assert [box["y"] for box in tops if box] == sorted(box["y"] for box in tops if box)
    expect(page.locator("#answer .strip svg title")).to_contain_text("first book")


def test_three_columns_on_a_desktop(page: Page) -> None:
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    boxes = [page.locator(each).bounding_box() for each in ("#answer", ".inside", ".last")]
    lefts = [box["x"] for box in boxes if box]
    rights = [box["x"] + box["width"] for box in boxes if box]
    assert len(lefts) == 3
    assert all(right <= left for right, left in zip(rights, lefts[1:], strict=False))
    assert lefts == sorted(lefts)
    expect(page.locator(".inside")).to_contain_text("Gannets")
    expect(page.locator(".inside")).not_to_contain_text("Divers and Petrels, vol. 1")


def test_a_scan_on_the_page_of_a_box_unpacks_and_on_that_of_a_shelf_shelves(
    desk: Running, page: Page, library: Library
) -> None:
    page.goto(f"{desk.base}/boxes/1")
    type_in(page, GULLS)
    answered(page, "good", "Gulls")
    (copy,) = unpacked(library)
    page.goto(f"{desk.base}/shelves/S4-75")
    type_in(page, GULLS)
    answered(page, "good", copy)
    with library.reading() as records:
        assert [held.accession for held, _ in copies_at_place(records, "S4-75")] == [copy]
    page.locator("#last li").first.get_by_role("button").click()
    expect(page.locator("#last li").first).to_contain_text("taken back")
    with library.reading() as records:
        assert copies_at_place(records, "S4-75") == ()
        assert count_waiting(records) == 0


def test_elsewhere_a_scan_shows_the_book_with_what_can_be_done(desk: Running, page: Page, library: Library) -> None:
    page.goto(f"{desk.base}/papers")
    type_in(page, GULLS)
    answered(page, "question", "Gulls")
    assert unpacked(library) == {}, "it was only shown"
    assert violations(page) == []
    page.locator("#answer").get_by_role("button", name="Unpack it from B1-56").click()
    answered(page, "good", "Gulls")
    (copy,) = unpacked(library)
    page.goto(f"{desk.base}/ledger")
    type_in(page, GULLS)
    answered(page, "question", "Gulls")
    page.locator("#answer").get_by_role("button", name="It stands on").click()
    expect(page.locator("#answer")).to_contain_text("stands at")
    with library.reading() as records:
        assert find_copy(records, copy).state is CopyState.SHELVED


def test_a_label_opens_its_page_and_what_is_scanned_meanwhile_is_not_lost(
    desk: Running, page: Page, library: Library
) -> None:
    page.goto(f"{desk.base}/catalog")
    held: list[Route] = []

    def answer(route: Route) -> None:
        held.append(route) if (route.request.post_data_json or {})["text"] == "B1-56" else route.continue_()

    page.route("**/api/scan", answer)
    # Until a page is painted the browser may drop keys: then the scan is asked for again, which is another test's.
    page.wait_for_function("performance.getEntriesByName('first-contentful-paint').length")
    page.wait_for_timeout(200)
    type_in(page, "B1-56")
    eventually(page, lambda: held)
    type_in(page, GULLS)
    page.wait_for_timeout(200)
    assert len(held) == 1, "the book waits for the page that the label leads to"
    held[0].continue_()
    page.wait_for_url("**/unpack/B1-56")
    answered(page, "good", "Gulls")
    assert len(unpacked(library)) == 1
    page.goto(f"{desk.base}/boxes")
    type_in(page, "S4-75")
    page.wait_for_url("**/shelves/S4-75")


def test_a_scan_while_something_is_typed_is_taken_and_the_typing_kept(
    desk: Running, page: Page, library: Library
) -> None:
    page.goto(f"{desk.base}/copies/A1-59")
    page.get_by_text("Why it is kept", exact=True).last.click()
    why = page.get_by_label("In your own words")
    why.press_sequentially("from my aunt", delay=70)
    type_in(page, GULLS)
    answered(page, "question", "Gulls")
    expect(why).to_have_value("from my aunt")
    why.press_sequentially(", 1998", delay=70)
    expect(why).to_have_value("from my aunt, 1998")
    assert unpacked(library) == {}
    page.goto(f"{desk.base}/unpack/1")
    page.locator("#text").press_sequentially("gul", delay=70)
    type_in(page, GULLS)
    answered(page, "good", "Gulls")
    expect(page.locator("#text")).to_have_value("gul")


def test_several_pictures_are_listed_at_once_and_answered_one_by_one(page: Page, library: Library) -> None:
    held: list[Route] = []
    page.route("**/api/picture*", lambda route: route.continue_() if held else held.append(route))
    page.set_input_files("#files", [BOX / f"{name}.jpg" for name in ("01", "02", "03")])
    expect(page.locator("#last li")).to_have_count(3)
    expect(page.locator("#last li").first).to_contain_text("waits for its answer")
    eventually(page, lambda: held)
    assert unpacked(library) == {}, "they are listed before the desk has answered"
    held[0].continue_()
    expect(page.locator("#last li .mark.good")).to_have_count(3, timeout=20_000)
    assert len(unpacked(library)) == 3
    expect(page.locator("#answer canvas[data-crop]")).to_be_visible()
    inked = page.locator("#answer canvas").evaluate(
        "each => new Set(each.getContext('2d').getImageData(0, 0, each.width, each.height).data).size"
    )
    assert inked > 20, "the symbol is drawn in it"
    page.locator("#last li").nth(1).get_by_role("button").click()
    eventually(page, lambda: len(unpacked(library)) == 2)


def test_defects_by_touch_on_the_drawing(page: Page, library: Library) -> None:
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    page.locator("#facts-open > summary").click()
    page.locator("#answer g[data-region=corners] path").click(position={"x": 8, "y": 8})
    page.get_by_role("button", name="bumped corners").click()
    page.locator("#answer g[data-region=spine] rect").click()
    page.get_by_role("button", name="faded", exact=True).click()
    expect(page.locator("#answer .chips > li")).to_have_count(2)
    page.locator("#number_line").fill("9 8 7 6 5 4 3")
    expect(page.locator("#number_line-help")).to_contain_text("Printing 3")
    with page.expect_response("**/api/photograph*") as sent:
        page.locator("#answer .chips input").nth(1).set_input_files(BOX / "01.jpg")
    assert sent.value.ok
    assert violations(page) == []
    page.locator("#facts button.main").click()
    expect(page.locator("#facts-message")).to_have_text("Saved.")
    (copy,) = unpacked(library)
    with library.reading() as records:
        assert find_copy(records, copy).condition == "boards: bumped corners; spine: faded; Errata slip present"


STUBBED = """
Object.defineProperty(window, "speechSynthesis", { value: { cancel() {}, speak(what) { heard.push(what.text); } } });
window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
window.heard = [];
"""


def test_the_answer_is_spoken_only_if_wished(desk: Running, page: Page) -> None:
    page.add_init_script(STUBBED)
    page.reload()
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    assert page.evaluate("heard") == []
    page.get_by_role("button", name="Turn voice on").click()
    type_in(page, GANNETS)
    answered(page, "good", "Gannets")
    heard = page.evaluate("heard")
    assert "bookcase" in heard[0]
    assert len(heard) == 2


FORMLESS = """[...document.querySelectorAll("button, input, select, textarea, label.button")]
    .filter((each) => each.checkVisibility() && !each.closest("form") && !each.form).map((each) => each.outerHTML)"""
"""What is shown to be pressed or filled in, and is sent by no form: it needs a script."""


def test_without_scripts_numbers_are_sent_by_forms(desk: Running, chromium: Browser, library: Library) -> None:
    context = chromium.new_context(java_script_enabled=False, viewport=PHONE)
    try:
        page = context.new_page()
        page.goto(desk.link)
        page.goto(f"{desk.base}/unpack/1")
        for by_script in ("#link", "#camera", "#phone-camera", "#sound"):
            expect(page.locator(by_script)).to_be_hidden()
        page.locator("#text").fill(GULLS)
        page.get_by_role("button", name="Take", exact=True).click()
        expect(page.locator(".message")).to_contain_text("Gulls")
        (copy,) = unpacked(library)
        page.goto(f"{desk.base}/shelves/S4-75")
        page.locator("#text").fill(copy)
        page.get_by_role("button", name="Take", exact=True).click()
        expect(page.locator(".message")).to_contain_text(f"Copy {copy} stands at")
        page.goto(f"{desk.base}/copies/{copy}")
        page.get_by_role("button", name="As recorded").click()
        expect(page.locator(".message")).to_contain_text("as recorded")
        for path in (
            "",
            "boxes",
            "boxes/1",
            "shelves/S4-75",
            "catalog",
            "pile",
            f"copies/{copy}",
            "papers?paper=bookcases",
        ):
            page.goto(f"{desk.base}/{path}")
            assert page.evaluate(FORMLESS) == [], path
        page.goto(f"{desk.base}/boxes")
        page.locator("#text").fill(DIVERS)
        page.get_by_role("button", name="Take", exact=True).click()
        page.get_by_role("button", name="Unpack it from").click()
        expect(page.locator(".message")).to_contain_text("Divers")
        page.locator("#text").fill("S4-75")
        page.get_by_role("button", name="Take", exact=True).click()
        page.goto(f"{desk.base}/boxes")
        page.locator("#text").fill("S4-75")
        page.get_by_role("button", name="Take", exact=True).click()
        expect(page).to_have_url(f"{desk.base}/shelves/S4-75")
    finally:
        context.close()
    with library.reading() as records:
        held = find_copy(records, copy)
        (report,) = [each for each in condition_reports(records, copy) if each.occasion is Occasion.AFTER]
    assert (held.place, held.wrapped, report.wrapped) == ("S4-75", True, True)


def test_every_page_takes_scans_and_fits_a_narrow_screen(desk: Running, page: Page) -> None:
    let_in(desk).post("/api/scan", box="1", text=GULLS, request="r")
    page.set_viewport_size({"width": 320, "height": 640})
    for path in ("/", "/boxes", "/boxes/1", "/shelves", "/shelves/S4-75", "/catalog", "/copies/A3-41", "/editions/3"):
        page.goto(desk.base + path)
        type_in(page, "A3-41")
        expect(page.locator("#answer")).to_contain_text("A3-41")
        assert fits(page), path
        assert violations(page) == [], path


COVERED = """() => {
  const each = document.activeElement;
  const { left, right, top, bottom, width } = each.getBoundingClientRect();
  if (width === 0 || each === document.body) return null;
  const seen = [[(left + right) / 2, (top + bottom) / 2], [left + 3, top + 3], [right - 3, bottom - 3]];
  const around = each.closest("label, g, summary") ?? each;
  const isSeen = ([x, y]) => {
    const there = document.elementFromPoint(x, y);
    return there && (around.contains(there) || (there.contains(around) && !there.closest(".places, .shoot")));
  };
  return seen.some(isSeen) ? null : each.outerHTML.slice(0, 120);
}"""


def test_the_focus_is_never_hidden_below_a_bar(page: Page) -> None:
    """WCAG 2.2, 2.4.11."""
    page.set_viewport_size(PHONE)
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    reached = set()
    for _ in range(70):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.outerHTML.slice(0, 80)"))
        assert page.evaluate(COVERED) is None
    assert len(reached) > 40


def test_without_motion_the_sign_is_there_and_steady(desk: Running, page: Page) -> None:
    page.emulate_media(reduced_motion="reduce")
    type_in(page, DIVERS)
    answered(page, "good", "Divers and Petrels")
    flash = page.locator("#flash")
    assert flash.evaluate("each => getComputedStyle(each).animationName") == "steady"
    # The first half of its time it is as opaque as at its beginning, without any step in between.
    opacity = "each => each.getAnimations().flatMap((one) => one.effect.getKeyframes().map((frame) => frame.opacity))"
    assert set(flash.evaluate(opacity)) <= {"1"}


def test_script_and_style_stay_small() -> None:
    parts = [data for data, media_type, _ in read_files().values() if not media_type.startswith("image/")]
    assert sum(map(len, parts)) < LARGEST_SCRIPT
