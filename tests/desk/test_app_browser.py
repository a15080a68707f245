"""The desk as an app, in Debian's Chromium: kept, opened without a connection, answering from the open box's list."""

import json
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright, expect
from starlette.requests import Request
from starlette.responses import Response

from intake.desk import static_files
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.model.editions import Copy, CopyState
from tests.desk.conftest import PHONE, WIDE, Running, browser, let_in, running, until, visit
from tests.desk.test_accessible import violations
from tests.desk.test_steps import FILES
from tests.made_library import new_library

pytestmark = pytest.mark.slow

HELD = """async (name) => {
  const cache = await caches.open(name);
  return (await cache.keys()).map(({ url }) => new URL(url).pathname);
}"""
"""The addresses that a browser keeps under a name."""
KEPT, PARTS = "intake-pages", "intake-parts"


@pytest.fixture
def unpacking(desk: Running, chromium: Browser) -> Iterator[Page]:
    """A box's page whose worker has kept it."""
    with visit(chromium, desk.link, service_workers="allow") as page:
        page.goto(f"{desk.base}/unpack/1")
        page.wait_for_function("navigator.serviceWorker.ready.then(() => true)")
        page.wait_for_function("() => Object.keys(localStorage).some((key) => key.startsWith('box-list:'))")
        script = page.evaluate("new URL(document.querySelector('script[src$=\"/unpack.js\"]').src).pathname")
        until(lambda: "/unpack/1" in page.evaluate(HELD, KEPT) and script in page.evaluate(HELD, PARTS), 90)
        yield page


def listed_numbers(library: Library) -> list[tuple[str, str, str]]:
    """Return copy, number and title of what is still in the first box and has a number of its own there."""
    with library.reading() as records:
        pairs = [pair for pair in all_copies(records) if (pair[0].box or "").startswith("B1-")]
    return [(copy.accession, edition.number or "", edition.title) for copy, edition in pairs if edition.number]


def test_without_a_connection_the_box_opens_and_answers_at_once_and_is_booked_later(
    unpacking: Page, library: Library
) -> None:
    (copy, number, title), *_ = listed_numbers(library)
    unpacking.context.set_offline(True)
    unpacking.reload()
    expect(unpacking.get_by_role("heading", level=1)).to_contain_text("Box B1-")
    expect(unpacking.locator("#link")).to_have_text("no connection")
    unpacking.locator("#text").fill(number)
    unpacking.locator("#text").press("Enter")
    told = unpacking.locator(".not-booked").first
    expect(told).to_contain_text("Not yet booked")
    expect(told).to_contain_text(title)
    with library.reading() as records:
        kept = records.get(Copy, copy)
        assert kept is not None
        assert kept.state is CopyState.PACKED, "nothing is booked without the desk"
    unpacking.context.set_offline(False)

    def is_booked() -> bool:
        unpacking.wait_for_timeout(100)
        with library.reading() as records:
            booked = records.get(Copy, copy)
        return booked is not None and booked.state is not CopyState.PACKED

    until(is_booked, 60)
    expect(unpacking.locator(".not-booked")).to_have_count(0)
    expect(unpacking.locator("#answer")).to_contain_text(title)


def test_a_script_that_comes_late_is_kept_with_its_page(
    desk: Running, chromium: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    served = static_files._served
    late = {"worker.js": 0.5, "unpack.js": 1.5}  # the page is open, and listens, before its last script has come

    def slowly(request: Request, name: str) -> Response:
        time.sleep(late.get(name, 0))
        return served(request, name)

    monkeypatch.setattr(static_files, "_served", slowly)
    with visit(chromium, desk.link, service_workers="allow") as page:
        page.goto(f"{desk.base}/unpack/1")
        script = page.evaluate("new URL(document.querySelector('script[src$=\"/unpack.js\"]').src).pathname")
        until(lambda: "/unpack/1" in page.evaluate(HELD, KEPT) and script in page.evaluate(HELD, PARTS), 30)


def test_a_page_that_is_not_kept_says_so_and_leads_to_the_box_that_is(unpacking: Page, desk: Running) -> None:
    unpacking.context.set_offline(True)
    unpacking.goto(f"{desk.base}/catalog")
    expect(unpacking.get_by_role("heading", level=1)).to_have_text("No connection to the desk")
    unpacking.get_by_role("link", name="Box 1").click()
    expect(unpacking.get_by_role("heading", level=1)).to_contain_text("Box B1-")


def test_signing_out_leaves_nothing_of_the_library_in_the_browser(unpacking: Page, desk: Running) -> None:
    unpacking.goto(f"{desk.base}/station")
    unpacking.get_by_role("button", name="Sign out").click()
    unpacking.wait_for_load_state()
    until(lambda: unpacking.evaluate(HELD, KEPT) == [], 20)
    assert unpacking.evaluate("() => Object.keys(localStorage).filter((key) => key.startsWith('box-list:'))") == []


def test_the_manifest_is_one_that_the_browser_takes(desk: Running, chromium: Browser) -> None:
    with visit(chromium, desk.link, service_workers="allow") as page:
        protocol = page.context.new_cdp_session(page)
        found = protocol.send("Page.getAppManifest")
        assert found["errors"] == []
        told = json.loads(found["data"])
        assert (told["start_url"], told["display"]) == ("/", "standalone")
        sizes = {"192x192": 192, "512x512": 512}
        for icon in told["icons"]:
            if icon["sizes"] in sizes:
                wide = page.evaluate(
                    "async (src) => (await createImageBitmap(await (await fetch(src)).blob())).width", icon["src"]
                )
                assert wide == sizes[icon["sizes"]]
        errors = {error["errorId"] for error in protocol.send("Page.getInstallabilityErrors")["installabilityErrors"]}
        # A profile that is thrown away cannot install anything; that is the only thing in the way.
        assert errors <= {"in-incognito"}


def test_over_tls_the_worker_is_taken_once_the_certificate_is_trusted(
    library: Library, tmp_path: Path, playwright: Playwright
) -> None:
    with (
        running(library, tmp_path / "keys", tls=True) as desk,
        browser(playwright, "--ignore-certificate-errors") as trusting,
        visit(trusting, desk.link, service_workers="allow") as page,
    ):
        page.goto(f"{desk.base}/unpack/1")
        page.wait_for_function("navigator.serviceWorker.ready.then(() => true)")
        until(lambda: "/unpack/1" in page.evaluate(HELD, KEPT), 90)
        page.context.set_offline(True)
        page.reload()
        expect(page.get_by_role("heading", level=1)).to_contain_text("Box B1-")


def test_a_list_comes_in_and_shelves_are_made_without_scripts(tmp_path: Path, chromium: Browser) -> None:
    with new_library(tmp_path / "empty") as library, running(library, tmp_path / "keys") as desk:
        context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
        page = context.new_page()
        page.goto(desk.link)
        expect(page.get_by_role("heading", level=1)).to_contain_text("This library is empty")
        page.get_by_role("link", name="A catalog: one row a title").click()
        name, data = FILES["file"]
        page.get_by_label("What the rows of the list are").select_option("editions")
        page.get_by_label("The file").set_input_files({"name": name, "mimeType": "text/csv", "buffer": data})
        page.get_by_role("button", name="Look at it").click()
        expect(page.locator("main")).to_contain_text("title → title")
        page.get_by_role("button", name="Import it").click()
        expect(page.locator("main")).to_contain_text("Done.")
        page.goto(f"{desk.base}/steps/bookcase")
        page.get_by_label("Shelves (needed)").fill("two shelves of 800 x 300 mm")
        page.get_by_label("Room that it stands in").fill("Study")
        page.get_by_label("What you call the bookcase").fill("North")
        page.get_by_role("button", name="Look at it").click()
        page.get_by_role("button", name="Make it").click()
        expect(page.get_by_role("link", name="Print their labels")).to_be_visible()
        page.get_by_role("button", name=re.compile("Take back")).click()
        with library.reading() as records:
            assert {edition.title for _, edition in all_copies(records)} == set()
        context.close()


@pytest.mark.parametrize("size", [PHONE, WIDE, {"width": 320, "height": 640}], ids=lambda size: str(size["width"]))
def test_every_step_is_accessible_and_fits(desk: Running, chromium: Browser, size: dict[str, int]) -> None:
    station = let_in(desk)
    addresses = ["/start", "/keeping", *sorted(set(re.findall(r'href="(/steps[^"]*)"', station.get("/steps").text)))]
    with visit(chromium, desk.link, size=size, service_workers="allow") as page:  # type: ignore[arg-type] # a size as the browser takes it
        for address in addresses:
            page.goto(desk.base + address)
            over = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert over <= 0, address
            if size is PHONE:  # the rules ask the same of every width; what is as wide as the page may not fit
                open_all(page)
                assert violations(page) == [], address
        page.goto(f"{desk.base}/steps/import")
        name, data = FILES["file"]
        page.get_by_label("What the rows of the list are").select_option("editions")
        page.get_by_label("The file").set_input_files({"name": name, "mimeType": "text/csv", "buffer": data})
        page.get_by_role("button", name="Look at it").click()
        expect(page.get_by_role("button", name="Import it")).to_be_visible()
        open_all(page)
        assert violations(page) == []


def open_all(page: Page) -> None:
    """Open what is folded, and scroll to the end, where the bar of a phone covers nothing."""
    page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
