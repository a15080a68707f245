"""What a page says of boxes and copies is so: of a box that is awaited or finished, and of a copy seen twice."""

import re

from intake.desk import desk_startup
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_in_box
from intake.flow.moving import box_lifecycle
from intake.model.boxes import Box, BoxState
from tests.desk.conftest import Station
from tests.desk.test_steps import words


def box_in(library: Library, state: BoxState) -> str:
    with library.reading() as records:
        return next(box.number for box in records.all(Box) if box.state is state)


def test_a_box_checked_in_from_its_page_was_delivered_today_or_on_the_day_that_is_given(
    station: Station, library: Library
) -> None:
    number, today = box_in(library, BoxState.CLOSED), desk_startup.today()
    page = station.get(f"/boxes/{number}").text
    assert f'value="{today.isoformat()}"' in page
    assert 'data-box=""' in page, "what is scanned here is shown, for nothing can be unpacked from this box yet"
    version = station.version(f"/boxes/{number}")
    to_come = station.post(f"/boxes/{number}/arrive", note="", delivered="2999-01-01", version=version)
    assert to_come.status_code == 400
    done = station.post(f"/boxes/{number}/arrive", note="", version=version)
    assert done.status_code == 303, words(done.text)
    with library.reading() as records:
        assert [box.delivered for box in records.all(Box) if box.number == number] == [today]
    assert f'data-box="{number}"' in station.get(f"/boxes/{number}").text


def test_boxes_that_are_finished_were_checked_in(station: Station, library: Library) -> None:
    with library.reading() as records:
        boxes = records.all(Box)
    for box in boxes:
        if box.state in (BoxState.OPEN, BoxState.CLOSED):
            box_lifecycle.check_in(library, box.number, station="test")
        if box.state is not BoxState.UNPACKED:
            box_lifecycle.finish(library, box.number, why=lambda _: "", despite_queries=True, station="test")
    assert "has been checked in" not in words(station.get("/").text)


def test_a_copy_that_is_scanned_twice_was_seen_already(station: Station, library: Library) -> None:
    number = box_in(library, BoxState.ARRIVED)
    with library.reading() as records:
        copy = copies_in_box(records, number)[0].accession
    once, twice = (
        station.post("/api/scan", box=number, text=copy, request=f"r{nth}").json()["answers"][0]["html"]
        for nth in (1, 2)
    )
    assert "already" not in once
    assert re.search(rf"\? .*copy {copy} was seen already", twice)
    assert "flag was" not in once + twice, "it may have been typed, or chosen by a button"
