"""Damage at the desk: a picture of it reports nothing, and a copy reported damaged is not as recorded."""

import re
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_copy
from intake.flow.moving.reconcile import reconcile
from tests.desk.conftest import PHOTOGRAPHS, WIDE, Running, Station, visit
from tests.desk.test_accessible import violations
from tests.desk.test_browser import answered, type_in, unpacked
from tests.desk.test_steps import take

DIVERS = "9789999812252"


def taken_out(station: Station, library: Library) -> str:
    """Take the divers out of box 1, and return the number of the copy."""
    assert station.post("/api/scan", box="1", text=DIVERS, request="r1").status_code == 200
    (copy,) = unpacked(library)
    return copy


def photograph_damage(station: Station, copy: str) -> dict[str, str]:
    data = BytesIO()
    Image.new("RGB", (40, 30), "grey").save(data, "JPEG")
    answer = station.send(f"/api/photograph?copy={copy}&damage=yes", data.getvalue())
    assert answer.status_code == 200
    return dict(answer.json())


def damaged(library: Library) -> list[tuple[str, str]]:
    with library.reading() as records:
        return [(line.number, line.reason) for line in reconcile(records).lines if line.what == "damaged"]


def test_a_picture_of_damage_says_that_nothing_is_reported_until_it_is(station: Station, library: Library) -> None:
    copy = taken_out(station, library)
    kept = photograph_damage(station, copy)
    assert damaged(library) == []
    assert "not reported yet" in kept["sentence"]
    form = station.get(kept["report"]).text
    assert re.search(rf'<input[^>]*name="copy"[^>]*value="{copy}"', form), "the form of the damage, for this copy"
    take(station, "damage", copy=copy, what="spine split")
    assert damaged(library) == [(copy, "spine split")]
    again = photograph_damage(station, copy)
    assert "came damaged: spine split" in again["sentence"]
    assert "not reported" not in again["sentence"]


@pytest.mark.parametrize("touch", [{"as_recorded": "yes"}, {"grade": "Fine", "clean": "yes"}])
def test_a_copy_reported_damaged_is_not_as_recorded_by_one_touch(
    station: Station, library: Library, touch: dict[str, str]
) -> None:
    copy = taken_out(station, library)
    page = station.get(f"/copies/{copy}").text
    assert "data-clean" in page
    version = station.version(f"/copies/{copy}")
    take(station, "damage", copy=copy, what="spine split")
    page = station.get(f"/copies/{copy}").text
    assert "data-clean" not in page, "no touch for what is not so"
    assert "came damaged: spine split" in page.partition("History")[0]
    with library.reading() as records:
        before = find_copy(records, copy)
    refused = station.post("/api/facts", copy=copy, request="r2", version=version, **touch)
    assert (refused.status_code, "came damaged: spine split" in refused.text) == (409, True)
    with library.reading() as records:
        assert find_copy(records, copy) == before


@pytest.mark.slow
def test_from_the_picture_one_touch_leads_to_the_report(desk: Running, library: Library, chromium: Browser) -> None:
    with visit(chromium, desk.link, size=WIDE) as page:
        page.goto(f"{desk.base}/unpack/1")
        type_in(page, DIVERS)
        answered(page, "good", "Divers and Petrels")
        (copy,) = unpacked(library)
        expect(page.locator("#answer [data-clean]")).to_have_count(1)
        page.locator("#damage").set_input_files(PHOTOGRAPHS / "box-1" / "01.jpg")
        expect(page.locator("#facts-message")).to_contain_text("not reported yet")
        expect(page.locator("#answer [data-clean]")).to_have_count(0)
        assert violations(page) == []
        page.get_by_role("link", name="Report this damage").click()
        expect(page.locator("[name=copy]")).to_have_value(copy)
        page.locator("[name=what]").fill("spine split")
        page.get_by_role("button", name="Look at it").click()
        page.get_by_role("button", name="Report it").click()
        expect(page.locator("main")).to_contain_text(f"Copy {copy} is on the discrepancy report: spine split.")
    assert damaged(library) == [(copy, "spine split")]
