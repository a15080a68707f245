"""The page of two pictures of one copy. The covers are drawn and invented."""

from datetime import timedelta

import pytest
from playwright.sync_api import Browser

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.condition.photograph_copy import photograph_copy
from tests.covers.drawn_pair import crushed_pair
from tests.desk.conftest import PHONE, Running, Station, visit


def pictured(library: Library) -> str:
    """Keep both pictures of one copy, and return its number."""
    with library.reading() as records:
        copy = next(copy for copy, _ in all_copies(records)).accession
    for days, data in zip((30, 0), crushed_pair()[:2], strict=True):
        photograph_copy(library, copy, data, station="desk", now=clock.now() - timedelta(days=days))
    return copy


@pytest.mark.slow
def test_the_slider_is_moved_by_the_keyboard(desk: Running, library: Library, chromium: Browser) -> None:
    copy = pictured(library)
    with visit(chromium, desk.link, size=PHONE) as page:
        page.goto(f"{desk.base}/copies/{copy}/changes")
        shown, drawn = (page.locator(f"#later {part}").bounding_box() for part in ("img", "svg"))
        assert shown is not None
        assert drawn is not None
        assert drawn == pytest.approx(shown, abs=1)  # the outlines lie on the picture, not beside it
        page.locator("#share").focus()
        page.keyboard.press("Home")
        assert page.locator("#later").evaluate("each => getComputedStyle(each).opacity") == "0"
        page.keyboard.press("ArrowRight")
        assert page.locator("#later").evaluate("each => getComputedStyle(each).opacity") == "0.05"
        assert page.locator("#later .cover img").evaluate("each => each.naturalWidth") > 100


def test_two_pictures_are_laid_over_each_other_with_what_changed(station: Station, library: Library) -> None:
    with library.reading() as records:
        copy = next(copy for copy, _ in all_copies(records)).accession
    before, after, _ = crushed_pair()
    photograph_copy(library, copy, before, station="desk", now=clock.now() - timedelta(days=30))
    assert "no earlier and later picture" in station.get(f"/copies/{copy}/changes").text
    assert f"/copies/{copy}/changes" not in station.get(f"/copies/{copy}").text
    photograph_copy(library, copy, after, station="desk", now=clock.now())
    assert f'href="/copies/{copy}/changes"' in station.get(f"/copies/{copy}").text
    page = station.get(f"/copies/{copy}/changes").text
    assert "Look here" in page
    assert "bottom left corner" in page
    assert page.count("<polygon") == 4, "an outline and what lies under it, in each picture"
    for side in ("earlier", "later"):
        shown = station.get(f"/copies/{copy}/changes/{side}")
        assert (shown.status_code, shown.headers["content-type"]) == (200, "image/jpeg")
    assert station.get(f"/copies/{copy}/changes/both").status_code == 404
