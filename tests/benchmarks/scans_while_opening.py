"""How many of a scanner's numbers are lost while Chromium opens a page (run as a module; its argument: how often).

The keys are real ones: an X server without a screen (Xvfb) and xdotool, so that they go through Chromium as a handheld
scanner's do, also where a browser drops what comes before a page's first frame (`--allow-pre-commit-input`, which
Playwright would add, is left out). Each scan begins later after the page was left than the one before, by equal steps
over the whole gap. Printed are the scans that came whole, once; that were cut or lost; and whether the person was told.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import suppress
from itertools import cycle
from pathlib import Path

from playwright.sync_api import Error, Page, sync_playwright

from intake.edges import sheets
from intake.edges.clock import today
from intake.flow.demo.run_demo import LISTS
from intake.flow.lists.import_list import import_table
from tests.desk.conftest import ARGUMENTS, CHROMIUM, SCANS, Running, running
from tests.desk.webkit import x_server
from tests.made_library import new_library

NUMBERS = ("9789999812252", "9789999812429", "9789999812597", "9795744423116", "9795220478661")
GAP_MS = 700
"""The keys of the last scan begin so long after the page was left."""
KEY_MS = 5
LABEL = "S4-75"
WAYS = {
    "a link": ("/catalog", "location.assign('/boxes')"),
    "a shelf's label": ("/boxes", ""),
    "a page with a field": ("/boxes", "location.assign('/catalog')"),
}


def scan(display: str, text: str) -> None:
    """Press the keys of a scan, and Enter."""
    keys = ["minus" if letter == "-" else letter for letter in text]
    command = ["xdotool", "key", "--delay", str(KEY_MS), *keys, "Return"]
    subprocess.run(command, env={**os.environ, "DISPLAY": display}, check=True)


def outcome(page: Page, number: str) -> str:
    """Return what became of a scan: whole once, more than once, cut, or nothing."""
    rows = json.loads(page.evaluate("sessionStorage.getItem('last scans') ?? '[]'"))
    texts = [json.dumps(row, ensure_ascii=False) for row in rows]
    asked = json.loads(page.evaluate("sessionStorage.getItem('asked') ?? '[]'"))
    asked = [text for text in asked if text != LABEL]
    if not asked and any("Scan it again" in text for text in texts):
        return "cut, and said"
    whole = asked.count(number)
    if whole == 1 and len(asked) == 1:
        return "whole, once"
    if whole > 1:
        return "more than once"
    if asked or page.evaluate("document.getElementById('q')?.value || document.getElementById('text')?.value || ''"):
        return "cut"
    return "lost"


def settled(page: Page, number: str) -> tuple[str, str]:
    """Wait until the page it led to is up and what was scanned has been answered, or for five seconds in vain."""
    end = time.monotonic() + 5
    came = ""
    while came != "whole, once" and time.monotonic() < end:
        time.sleep(0.3)
        with suppress(Error):  # a page that is just being left
            page.wait_for_load_state("load")
            came = outcome(page, number)
    time.sleep(0.3)
    begun = page.evaluate("Math.round(performance.getEntriesByName('first-contentful-paint')[0]?.startTime)")
    told = page.evaluate("`${sessionStorage.getItem('asked')} ${location.pathname}`")
    return outcome(page, number), f"{told}, first paint {begun}"


REMEMBER = """() => {
  if (window.fetched) return;
  window.fetched = window.fetch;
  window.fetch = (address, sent) => {
    if (sent?.body && String(address).startsWith("/api/scan")) {
      const asked = JSON.parse(sessionStorage.getItem("asked") ?? "[]");
      sessionStorage.setItem("asked", JSON.stringify([...asked, JSON.parse(sent.body).text]));
    }
    return window.fetched(address, sent);
  };
}"""


def measure(desk: Running, display: str, count: int) -> None:
    """Leave pages in each way so many times, scan meanwhile, and print what became of the scans."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM),
            headless=False,
            args=[*ARGUMENTS, "--window-size=1300,800", "--window-position=0,0"],
            ignore_default_args=["--allow-pre-commit-input"],
            env={**os.environ, "DISPLAY": display},
        )
        page = browser.new_context(no_viewport=True).new_page()
        page.set_default_timeout(20_000)
        page.add_init_script(f"({REMEMBER})()")
        page.goto(desk.link)
        for way, (begin, leave) in WAYS.items():
            counts: Counter[str] = Counter()
            failed = []
            numbers = cycle(NUMBERS)
            for nth in range(count):
                number = next(numbers)
                page.goto(f"{desk.base}{begin}")
                time.sleep(0.6)
                page.evaluate("sessionStorage.removeItem('last scans'); sessionStorage.removeItem('asked')")
                if leave:
                    page.evaluate(f"setTimeout(() => {leave})")
                else:
                    scan(display, LABEL)
                offset = (GAP_MS if leave else 2 * GAP_MS) * nth / count
                time.sleep(offset / 1000)
                scan(display, number)
                came, told = settled(page, number)
                counts[came] += 1
                if came != "whole, once":
                    failed.append((round(offset), came, told))
            print(way, dict(counts), flush=True)
            for line in failed:
                print("   ", *line)
        browser.close()


def main() -> None:
    """Measure with the demonstration's lists."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as folder, new_library(Path(folder) / "library") as library:
        for kind, name in LISTS:
            import_table(library, kind, sheets.read_csv(SCANS / name), file=name, station="test", today=today())
        with running(library, Path(folder) / "keys") as desk, x_server() as display:
            measure(desk, display, count)


if __name__ == "__main__":
    main()
