"""What a page says is so: of a box that is awaited or finished, of a copy seen twice, and of what is not kept."""

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from intake.desk import desk_startup
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.shelves import place_paths
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import path_words
from intake.flow.moving import box_lifecycle
from intake.flow.safekeeping.backups import back_up_beside
from intake.flow.safekeeping.check_library import check_library
from intake.flow.unpacking.advice import advise, goes_words
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place, PlaceKind
from tests.desk.conftest import Station
from tests.desk.test_steps import send, words
from tests.made_library import alter


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


@pytest.mark.folder
def test_a_library_that_a_check_found_not_whole_says_so_on_every_page(station: Station, library: Library) -> None:
    assert "was found not whole" not in station.get("/").text
    alter(library, "UPDATE box SET note = 'by hand' WHERE number = (SELECT min(number) FROM box)")
    assert not check_library(library).is_sound
    for path in ("/", "/steps/open"):
        assert "was found not whole on " in words(station.get(path).text)


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


def test_the_answer_to_a_query_tells_where_the_book_goes(station: Station, library: Library) -> None:
    number = box_in(library, BoxState.ARRIVED)
    with library.reading() as records:
        copy = copies_in_box(records, number)[0].accession
    (answer,) = station.post("/api/scan", box=number, text=title_of(library, copy), request="q").json()["answers"]
    query, option = re.findall(r'data-query="(\d+)" data-option="(listed:[^"]+)"', answer["html"])[0]
    page = station.get(station.post(f"/pile/{query}/decide", option=option).headers["location"])
    said = words(page.text)
    with library.reading() as records:
        booked = find_copy(records, option.removeprefix("listed:"))
        edition = records.get(Edition, booked.edition_id)
        assert edition is not None
        assert (
            f"Query {query} is copy {booked.accession}. {goes_words(booked, advise(records, booked, edition))}" in said
        )


def test_what_stands_on_a_shelf_is_said_to_stand_there(station: Station, library: Library) -> None:
    with library.reading() as records:
        copy = next(copy for copy in records.all(Copy) if copy.state is CopyState.PACKED and copy.box)
        shelf = next(place for place in records.all(Place) if place.kind is PlaceKind.SHELF).number
        path = path_words(place_paths(records)[shelf])
    packed = station.post("/api/scan", text=copy.accession, request="s1").json()["answers"][0]
    stands = replace(copy, state=CopyState.SHELVED, place=shelf, position=1)
    library.apply(Action(ActionKind.SHELVE_COPY, copy.accession, "test"), [Change(copy, stands)])
    (answer,) = station.post("/api/scan", text=copy.accession, request="s2").json()["answers"]
    assert (packed["kind"], answer["kind"], answer["place"]) == ("question", "good", [f"stands on {path}"])
    assert "Stands on" in words(f"<main>{answer['html']}</main>")
    assert "Stands on" not in words(f"<main>{packed['html']}</main>")


@pytest.mark.parametrize("where", ["/boxes/{box}", "/steps/finish"])
def test_a_box_with_waiting_queries_leads_to_each_of_them(station: Station, library: Library, where: str) -> None:
    number = box_in(library, BoxState.ARRIVED)
    queries = [
        station.post("/api/scan", box=number, text=text, request=text).json()["answers"][0]["query"]
        for text in ("9795118796228", "9790000000001")
    ]
    if where == "/steps/finish":
        page = send(station, "finish", box=number, reason="an empty gap")
        assert page.status_code == 409
    else:
        page = station.get(where.format(box=number))
    assert re.search(rf'class="count"[^>]*>\s*{len(queries)}\b', page.text), "the count in the navigation"
    assert [int(query) for query in re.findall(r'<a [^>]*href="/pile/(\d+)"', page.text)] == queries


def title_of(library: Library, accession: str) -> str:
    with library.reading() as records:
        edition = records.get(Edition, find_copy(records, accession).edition_id)
    assert edition is not None
    return edition.title


def test_a_copy_is_put_on_the_shelf_that_has_the_name_and_a_name_that_none_has_is_refused_beside_the_form(
    station: Station, library: Library
) -> None:
    number = box_in(library, BoxState.ARRIVED)
    with library.reading() as records:
        copy = copies_in_box(records, number)[0].accession
        shelves = [place for place in records.all(Place) if place.kind is PlaceKind.SHELF]
    first, other = shelves[0], next(place for place in shelves if place.parent != shelves[0].parent)
    changes = [Change(place, replace(place, name="Nook")) for place in (first, other)]
    library.apply(Action(ActionKind.IMPORT_PLACES, "the names", "test"), changes)
    with library.reading() as records:
        shelf, names = first.number, place_paths(records)[first.number].names
    station.post("/api/scan", box=number, text=copy, request="r")

    def put(name: str) -> str:
        version = station.version(f"/copies/{copy}")
        done = station.post(f"/copies/{copy}/shelf", shelf=name, version=version)
        return words(done.text if done.status_code == 409 else station.get(done.headers["location"]).text)

    assert "It is on that shelf now" in put("Nowhere 77"), "the form is there"
    assert f"Say which by its number: {shelf}, " in put("Nook")
    assert "■" not in put(" ".join(names[1:]).upper())
    with library.reading() as records:
        assert find_copy(records, copy).place == shelf


def test_an_export_of_everything_tells_what_it_leaves_out_and_what_lists_said(
    station: Station, library: Library
) -> None:
    import_places(library)
    said = words(station.get("/steps/export?what=everything&ask=yes").text)
    assert "Left out: the ledger; a backup keeps them." in said
    assert re.search(r"said-by-lists\.csv: [1-9]", said)


def test_a_check_of_a_broken_ledger_names_what_the_latest_archive_does_not_have(
    station: Station, library: Library
) -> None:
    back_up_beside(library, datetime(2026, 3, 31, tzinfo=UTC))
    import_places(library)
    alter(library, "UPDATE ledger SET note = 'x' WHERE seq = 2")
    said = words(station.get("/steps/check?ask=yes").text)
    assert re.search(r"Not in the latest archive: entry \d+, import places shelves\.csv", said)


def import_places(library: Library) -> None:
    library.apply(Action(ActionKind.IMPORT_PLACES, "shelves.csv"), [])
