"""The main way through the desk in another engine than Chromium's: WebKit, of which Safari's is the sister."""

from collections.abc import Iterator

import pytest

from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_copy
from intake.model.editions import CopyState, Grade
from tests.desk.conftest import Running
from tests.desk.test_browser import unpacked
from tests.desk.webkit import ENTER, F2, Window, webkit, what_is_missing

pytestmark = [
    pytest.mark.slow,
    pytest.mark.alone,
    pytest.mark.skipif(bool(what_is_missing()), reason=f"not installed: {what_is_missing()}"),
]

NEVER_GRADED = "9795744423116"
TWICE = "9795220478661"


@pytest.fixture
def window(desk: Running) -> Iterator[Window]:
    with webkit() as window:
        window.open(desk.link)
        yield window


def test_log_in_scan_inspect_answer_and_undo(desk: Running, window: Window, library: Library) -> None:
    window.open(f"{desk.base}/unpack/1")
    window.sees("#link", "connected")
    window.press([*NEVER_GRADED, ENTER])
    window.sees("#answer.good", "Aves del")
    (copy,) = unpacked(library)
    window.press([F2])
    window.sees("#facts-message", "Saved.")
    with library.reading() as records:
        assert find_copy(records, copy).grade is Grade.FINE
    window.click("#last li:first-child button")
    window.sees("#last li:first-child", "taken back")
    with library.reading() as records:
        assert find_copy(records, copy).grade is None
        assert find_copy(records, copy).state is CopyState.UNPACKED
    window.press([*TWICE, ENTER])
    window.sees("#answer.question", "Lichens on Old Walls")
    window.click("#answer.question .choices button")
    window.sees("#answer.good", "Lichens on Old Walls")
    assert len(unpacked(library)) == 2


def test_a_label_opens_its_page_and_what_follows_is_taken_there(
    desk: Running, window: Window, library: Library
) -> None:
    window.open(f"{desk.base}/catalog")
    window.sees("#link", "connected")
    window.press([*"B1-56", ENTER, *NEVER_GRADED, ENTER])
    window.until(lambda: window.run("return location.pathname") == "/unpack/B1-56", "the box's page")
    window.sees("#answer.good", "Aves del")
    assert set(unpacked(library).values()) == {NEVER_GRADED}
