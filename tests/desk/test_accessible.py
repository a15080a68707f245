"""Every page at the size of a phone and of a desktop, light and dark, held against WCAG 2.2 AA by axe-core.

axe-core comes with the package `axe-playwright-python` and is asked for the rules of WCAG 2.0 to 2.2, levels A and AA.
"""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize, expect

from intake.edges import clock, network
from intake.flow.condition.photograph_copy import photograph_copy
from tests.covers.drawn_pair import crushed_pair
from tests.desk.conftest import PHONE, PHOTOGRAPHS, WIDE, Running, Scheme, Station, let_in, running, visit
from tests.desk.test_lookup_page import TIDES, UNKNOWN
from tests.desk.test_lookup_page import _cache as _cache  # noqa: PLC0414 - what servers answer is kept elsewhere
from tests.edges.exchange.stub_server import Reply, response, serving
from tests.made_library import copy_library

pytestmark = pytest.mark.slow

RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
PAGES = (
    "/", "/unpack/1", "/pile", "/pile/1", "/pile/1?q=gulls", "/boxes", "/boxes/1", "/boxes/4", "/shelves",
    "/shelves/S4-75", "/catalog", "/catalog?q=flora", "/catalog?q=nothing+like+it", "/editions/1", "/copies/A1-59",
    "/copies/A1-59/changes", "/copies/A3-41/changes",
    "/papers", "/papers?paper=box-labels", "/papers?paper=shelf-labels&used=2", "/progress", "/boxes?q=box+1&by=room",
    "/copies?by=state", "/sets", "/sets/1", "/bookcases/S2-93?copy=A3-41", "/ledger/3",
    "/pairing", "/station", "/asked", "/ledger", "/nowhere", "/pair",
)  # fmt: skip
REFUSED = (
    ("/steps/weigh", "/steps/weigh", {"box": "4", "gross": "17", "scale": "a bit"}, "gross"),
    ("/steps/value", "/steps/value", {"copy": "A9-99", "amount": "12.50"}, "copy"),
    ("/steps/close", "/steps/close", {"boxes": "4 99", "gross": "-"}, "gross"),
    ("/steps/claim", "/steps/claim", {"reference": "SKV-26-00417", "regime": "cmr", "insured": "much"}, "insured"),
    ("/steps/move-copies", "/steps/move-copies", {"copies": "A3-41"}, ""),
    ("/editions/1", "/editions/1", {"year": "MCMXXX"}, "year"),
    ("/copies/A3-41", "/copies/A3-41/shelf", {"shelf": "Nowhere 77"}, "shelf"),
)
"""Forms that are refused: the page, where it is sent, what is typed, and which field has the focus then."""
SMALL = """
[...document.querySelectorAll("button, .button, nav a, summary, input:not([type=hidden], .file input, .pick input)")]
  .filter((each) => each.offsetParent && each.getBoundingClientRect().height < 43.5)
  .map((each) => each.outerHTML)
"""
LOOKS: list[tuple[ViewportSize, Scheme]] = [(PHONE, "light"), (PHONE, "dark"), (WIDE, "light"), (WIDE, "dark")]


@pytest.fixture(scope="module")
def worked(stocked: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A desk at which some work was done: a booked copy, a copy on its shelf, and queries."""
    folder = tmp_path_factory.mktemp("worked")
    with copy_library(stocked, folder / "library") as library, running(library, folder / "keys", lan=True) as desk:
        station = let_in(desk)
        station.send("/api/picture?box=1&request=q1", (PHOTOGRAPHS / "box-1" / "04.jpg").read_bytes())
        station.send("/api/picture?box=1&request=p1", (PHOTOGRAPHS / "box-1" / "01.jpg").read_bytes())
        station.post("/api/scan", box="1", text="9795118796228", request="q2")
        station.post("/api/scan", box="1", text="9789999812597", request="r1")
        station.post("/copies/A3-41/shelf", shelf="S4-75")
        for days, data in zip((30, 0), crushed_pair()[:2], strict=True):
            photograph_copy(library, "A1-59", data, station="desk", now=clock.now() - timedelta(days=days))
        yield desk


def violations(page: Page) -> list[str]:
    # The browser's own PDF viewer is not our page.
    response = Axe().run(page, options={"runOnly": RULES, "iframes": False}).response
    assert len(response["passes"]) > 10, "the rules were run"
    found = response["violations"]
    return [f"{each['id']}: {each['help']}: {[node['html'][:120] for node in each['nodes'][:3]]}" for each in found]


def fits(page: Page) -> bool:
    """Tell whether nothing has to be scrolled sideways (WCAG 1.4.10)."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))


@pytest.mark.parametrize(("size", "scheme"), LOOKS, ids=str)
def test_every_page(worked: Running, chromium: Browser, size: ViewportSize, scheme: Scheme) -> None:
    with visit(chromium, worked.link, size=size, scheme=scheme) as page:
        for path in PAGES:
            page.goto(worked.base + path)
            page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
            assert violations(page) == [], path
            assert fits(page), path
        page.set_viewport_size({"width": 320, "height": 640})
        for path in PAGES:
            page.goto(worked.base + path)
            assert fits(page), f"{path} at 320 px"


@pytest.mark.parametrize(("size", "scheme"), LOOKS, ids=str)
def test_every_refused_form(worked: Running, chromium: Browser, size: ViewportSize, scheme: Scheme) -> None:
    send = """([action, texts]) => {
      const form = [...document.forms].find((each) => each.getAttribute("action") === action
        && Object.keys(texts).every((name) => each.elements[name]));
      for (const [name, text] of Object.entries(texts)) form.elements[name].value = text;
      form.noValidate = true;
      form.requestSubmit(form.querySelector("button[name=ask]"));
    }"""
    with visit(chromium, worked.link, size=size, scheme=scheme) as page:
        for path, action, texts, field in REFUSED:
            page.goto(worked.base + path)
            page.evaluate(send, [action, texts])
            expect(page.get_by_role("alert").first).to_be_visible()
            expect(page).to_have_title(re.compile("^Not done"))
            assert page.evaluate("document.activeElement.name ?? ''") == field, path
            page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
            assert violations(page) == [], path
            assert fits(page), path
            page.set_viewport_size({"width": 320, "height": 640})
            assert fits(page), f"{path} at 320 px"
            page.set_viewport_size(size)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_answer(worked: Running, chromium: Browser, scheme: Scheme) -> None:
    with visit(chromium, worked.link, scheme=scheme) as page:
        page.goto(f"{worked.base}/unpack/1")
        for text, kind in (("9789999812429", None), ("9795118796228", "question"), ("9790000000001", "question")):
            page.locator("#text").fill(text)
            page.locator("#text").press("Enter")
            expect(page.locator("#answer h2")).to_be_visible()
            if kind:
                expect(page.locator(f"#answer.{kind}")).to_be_visible()
            page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
            # What the bar at the foot covers comes out from under it by scrolling.
            page.evaluate("document.querySelector('#answer [data-undo]')?.scrollIntoView({ block: 'center' })")
            assert violations(page) == []
            assert fits(page)
        page.locator("#text").fill("gu")
        expect(page.locator("#titles li").first).to_be_visible()
        assert violations(page) == []


@pytest.mark.parametrize(("size", "scheme"), LOOKS, ids=str)
def test_what_a_library_has(worked: Running, chromium: Browser, size: ViewportSize, scheme: Scheme) -> None:
    settings = worked.library.folder / "settings.toml"
    let_in(worked).post("/api/scan", box="1", text=UNKNOWN, request="lookup")
    with (
        serving(lambda _: Reply(response(TIDES))) as stub,
        visit(chromium, worked.link, size=size, scheme=scheme) as page,
    ):
        settings.write_text(f'[lookup]\nurls = ["{stub.url}"]\n', encoding="utf-8")
        page.goto(f"{worked.base}/pile")
        page.get_by_role("link", name=UNKNOWN).click()
        page.get_by_role("button", name="Look 978-0-11-000222-4 up").click()
        expect(page.get_by_role("button", name="Record it as a new edition, and this copy")).to_be_visible()
        page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
        assert violations(page) == []
        assert page.evaluate(SMALL) == []
        assert fits(page)
    settings.unlink()


@pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")
@pytest.mark.parametrize(("size", "scheme"), LOOKS, ids=str)
def test_what_a_phone_is_shown(worked: Running, chromium: Browser, size: ViewportSize, scheme: Scheme) -> None:
    desk = worked.opened.desk
    house = f"{desk.endpoint.phone}"
    Station(house).client.post("/pair", data={"code": "22222222"}, headers={"Origin": house})
    with (
        visit(chromium, f"{house}/pair?code={desk.authenticator.code()}", size=size, scheme=scheme) as phone,
        visit(chromium, worked.link, size=size, scheme=scheme) as laptop,
    ):
        phone.get_by_label("Name of this station").fill("hall")
        phone.get_by_role("button", name="Pair and begin").click()
        phone.goto(f"{house}/boxes/2")
        phone.get_by_text("Finish this box").click()
        phone.get_by_role("button", name="Ask to finish").click()
        expect(phone.get_by_text("Waits for a yes at the laptop")).to_be_visible()
        laptop.get_by_role("link", name="for your word").click()
        expect(laptop.get_by_role("button", name="do not finish box")).to_be_visible()
        for page in (laptop, phone):
            assert violations(page) == []
            assert page.evaluate(SMALL) == []
            assert fits(page)
        laptop.get_by_role("button", name="do not finish box").click()
        expect(phone.get_by_text("The laptop said no:", exact=False).first).to_be_visible()
        assert violations(phone) == []
        for path in ("/station", "/papers?paper=insurance", "/ledger", "/copies/1"):
            phone.goto(house + path)
            phone.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
            assert violations(phone) == [], path
            assert fits(phone), path
        laptop.goto(f"{worked.base}/pairing")
        assert violations(laptop) == []
        assert fits(laptop)
        laptop.get_by_role("button", name="Send away hall").first.click()
        expect(phone.locator("#link")).to_have_text("signed out")


def test_what_is_pressed_is_large_enough(worked: Running, chromium: Browser) -> None:
    """WCAG 2.5.8 asks for 24 px; a thumb in a hurry wants 44 (2.5.5, level AAA)."""
    with visit(chromium, worked.link) as page:
        for path in ("/", "/unpack/1", "/pile/1", "/boxes/1", "/shelves", "/papers?paper=box-labels"):
            page.goto(worked.base + path)
            small = page.evaluate(SMALL)
            assert small == [], path


def test_by_keyboard_alone(worked: Running, chromium: Browser) -> None:
    with visit(chromium, worked.link, size=WIDE) as page:
        page.goto(f"{worked.base}/boxes")
        page.keyboard.press("Tab")
        expect(page.locator(".skip")).to_be_focused()
        page.keyboard.press("Enter")
        reached = set()
        for _ in range(30):
            page.keyboard.press("Tab")
            reached.add(page.evaluate("document.activeElement.getAttribute('href')"))
            ring = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert ring == "solid" or page.evaluate("document.activeElement === document.body")
        assert {"/boxes/B1-56", "/boxes/B6-11"} <= reached
