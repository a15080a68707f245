"""The desk's lists with 600 boxes and 20,000 copies: every figure is counted by hand from how the library is made.

How long a page takes is printed and never asserted; how many rows it has, and what it says of the rest, is.
"""

import re
from collections import Counter
from collections.abc import Iterator
from html import unescape
from itertools import count
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from intake.flow.moving.box_list import BoxGrouping, BoxListRequest, BoxStage, box_list
from intake.model.boxes import BoxState
from intake.model.editions import CopyState
from intake.model.identifiers import OwnKind, own_number
from tests import large_move
from tests.counting import count_statements
from tests.desk.conftest import PHONE, Running, Station, let_in, running, visit
from tests.large_move import BOXES, COPIES, box_number, box_of_copy, state_of_box, state_of_copy
from tests.made_library import copy_library, new_library

pytestmark = pytest.mark.slow

LISTS = (
    "/", "/boxes", "/boxes?by=room", "/boxes?by=number&from=501", "/progress", "/pile", "/shelves", "/catalog",
    "/copies", "/copies?by=state", "/copies?q=garden", "/sets", "/ledger", "/ledger/3", "/boxes/B1-56",
    "/catalog?q=garden",
)  # fmt: skip
MOST_ROWS = 300
ROW = re.compile(r"<(?:li|tr|option)\b")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the large move, made once."""
    folder = tmp_path_factory.mktemp("made") / "library"
    with new_library(folder) as library:
        large_move.fill(library)
    return folder


@pytest.fixture(scope="module")
def large(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A desk with the large move; the tests that alter it do so where no other looks."""
    folder = tmp_path_factory.mktemp("large")
    with copy_library(made, folder / "library") as library, running(library, folder / "keys") as desk:
        yield desk


@pytest.fixture(scope="module")
def station(large: Running) -> Station:
    return let_in(large)


def text_of(station: Station, path: str) -> str:
    answer = station.get(path)
    assert answer.status_code == 200, path
    return unescape(answer.text)


def boxes_in(text: str) -> list[str]:
    return re.findall(r'<li><a href="/boxes/([^"]+)"', text)


def test_no_page_has_more_than_three_hundred_rows(station: Station) -> None:
    for path in LISTS:
        assert len(ROW.findall(station.get(path).text)) < MOST_ROWS, path


def test_every_box_is_on_one_page_and_each_page_says_what_it_leaves_out(station: Station) -> None:
    listed: list[str] = []
    for begin in range(1, BOXES, 100):
        text = text_of(station, f"/boxes?by=number&from={begin}")
        assert f"Boxes {begin} to {begin + 99} of {BOXES}; {BOXES - 100} more on other pages" in text
        listed += boxes_in(text)
    assert listed == [box_number(nth) for nth in range(1, BOXES + 1)]
    beyond = text_of(station, "/boxes?by=number&from=99999")
    assert boxes_in(beyond) == listed[-100:]


def test_groups_are_counted_over_all_pages(station: Station) -> None:
    rooms = Counter(large_move.ROOMS[nth % 4] or "no room named" for nth in range(1, BOXES + 1))
    stages = Counter(map(state_of_box, range(1, BOXES + 1)))
    text = text_of(station, "/boxes?by=room")
    assert f'Hall <span class="quiet small">{rooms["Hall"]} boxes, 100 on this page' in text
    for stage, state in ((BoxStage.AWAITED, BoxState.CLOSED), (BoxStage.EMPTY, BoxState.UNPACKED)):
        text = text_of(station, f"/boxes?stage={stage.value.replace(' ', '+')}")
        assert f"of {stages[state]}; {stages[state] - 100} more on other pages" in text
        assert f"{BOXES - stages[state]} boxes not shown, as they do not match" in text
    begun = text_of(station, f"/boxes?stage={BoxStage.BEGUN.value.replace(' ', '+')}")
    assert len(boxes_in(begun)) == large_move.BEGUN_BOXES


@pytest.mark.parametrize("typed", ["B57", "b57", "box 57", "57", box_number(57)])
def test_a_box_by_its_number(station: Station, typed: str) -> None:
    assert boxes_in(text_of(station, f"/boxes?q={typed.replace(' ', '+')}")) == [box_number(57)]


@pytest.mark.parametrize("typed", ["A1590", "K1590", large_move.book_number(1590)])
def test_a_box_by_what_is_in_it(station: Station, typed: str) -> None:
    text = text_of(station, f"/boxes?q={typed}")
    assert boxes_in(text) == [box_number(box_of_copy(1590))]
    assert f"{BOXES - 1} boxes not shown" in text


def test_words_with_a_slip_and_words_that_mean_too_much(station: Station) -> None:
    assert len(boxes_in(text_of(station, "/boxes?q=siting+room"))) == 100
    many = text_of(station, "/copies?q=gardn")
    assert "'gardn' is like 'garden'" in many
    assert "These words are in more titles than are looked at; the closest 200 count here" in many
    one = text_of(station, "/copies?q=garden+1593")
    assert re.findall(r'href="/copies/([^"]+)"><b>', one) == [own_number(OwnKind.COPY, 1593)]


def test_copies_by_state_as_counted(station: Station) -> None:
    states = Counter(map(state_of_copy, range(1, COPIES + 1)))
    text = text_of(station, "/copies")
    for state in (CopyState.PACKED, CopyState.UNPACKED, CopyState.SHELVED, CopyState.MISSING):
        assert f"{state} ({states[state]})" in text
    missing = text_of(station, "/copies?state=missing")
    assert f"{states[CopyState.MISSING]} copies" in missing
    assert missing.count("■ missing") == states[CopyState.MISSING]
    assert f"{COPIES - states[CopyState.MISSING]} copies not shown" in missing


def test_the_ledger_is_read_to_its_beginning_without_a_gap(station: Station) -> None:
    last = int(re.findall(r"<p class=\"quiet small number\">(\d+) entries", text_of(station, "/ledger"))[0])
    path, seen = "/ledger", []
    for _ in count():
        text = text_of(station, path)
        seen += [int(seq) for seq in re.findall(r"entry (\d+) ·", text)]
        older = re.search(r'href="(/ledger\?[^"]*before=\d+)">Older', text)
        if older is None:
            break
        path = older[1].replace("?&", "?")
    assert seen == list(range(last, 0, -1))
    assert "This is the beginning of the ledger." in text
    assert "entry 1 ·" in text_of(station, "/ledger?before=61"), "the way to the beginning is one step"
    imported = text_of(station, "/ledger/3")
    assert f"{COPIES + BOXES} changes; 1 to 200 are shown" in imported


def test_the_list_of_boxes_asks_as_little_for_a_hundred_as_for_one(made: Path, tmp_path: Path) -> None:
    with copy_library(made, tmp_path / "library") as library:  # a desk that runs asks something now and then
        with library.reading() as records, count_statements(library) as one:
            box_list(records, BoxListRequest(by=BoxGrouping.NUMBER, begin=300, count=1))
        with library.reading() as records, count_statements(library) as hundred:
            assert box_list(records, BoxListRequest(by=BoxGrouping.NUMBER, begin=300)).shown == 100
    assert one.statements == hundred.statements


def test_sets_have_their_last_volume_open(station: Station) -> None:
    text = text_of(station, "/sets")
    assert f"Sets 1 to 30 of {large_move.SETS}" in text
    assert text.count("5 volumes here; not here: volume 6.") >= 28, "a missing copy is not here either"
    assert "6: not in the collection" in text


def test_a_list_is_filtered_as_one_types(large: Running, chromium: Browser) -> None:
    with visit(chromium, large.link, size=PHONE) as page:
        page.goto(f"{large.base}/boxes")
        paint = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0]?.startTime")
        print(f"\nThe first paint of the list of 600 boxes: {paint} ms")
        expect(page.locator("[data-live=boxes] .rows li")).to_have_count(100)
        page.get_by_label("Which boxes").press_sequentially("box 57")
        expect(page.locator("[data-live=boxes] .rows li")).to_have_count(1)
        expect(page.get_by_role("link", name=f"Box {box_number(57)}")).to_be_visible()
        expect(page.get_by_label("Which boxes")).to_be_focused()
        assert "q=box" in page.url, "the address shows the same list when it is loaded again"
        page.get_by_label("Which boxes").fill("")
        page.get_by_label("Room").select_option("Hall")
        expect(page.locator("[data-live=extent]")).to_contain_text("450 boxes not shown")


def test_a_number_that_waits_twice_is_answered_once_and_the_next_follows(large: Running, station: Station) -> None:
    text = text_of(station, "/pile")
    assert "3 questions wait for a person, in 4 queries" in text
    assert text.count('name="same-2" value="yes" checked') == 1
    answer = station.client.post(
        "/pile/1/new",
        data={"form_token": station.token, "title": "The Invented Twin", "number": "", "same-2": "yes"},
        headers={"Origin": large.base},
    )
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/pile/3?undo=")
    assert "so is query 2" in unescape(answer.headers["location"].replace("%20", " "))
    assert "2 questions wait for a person." in text_of(station, "/pile")
