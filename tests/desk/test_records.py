"""What the desk's pages say of the records, and that an answer is what was shown."""

import json
import re

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.lookup.resolve import find_box
from intake.model.condition import split_parts
from intake.model.editions import Copy, CopyState
from intake.model.places import Place, PlaceKind
from intake.model.sightings import QueryDecision
from tests.desk.conftest import Station

UNKNOWN = "9790000000001"


def asked(station: Station, text: str, request: str) -> int:
    """Scan what must wait, and return the number of its query."""
    answer = station.post("/api/scan", box="1", text=text, request=request).json()["answers"][0]
    return int(answer["query"])


def version_of(page: str) -> str:
    """Return the version that the forms of a page carry."""
    found = re.search(r'name="version" value="(\d+)"', page)
    assert found is not None
    return found[1]


def packed_in(library: Library, serial: str) -> list[str]:
    with library.reading() as records:
        pairs = list(all_copies(records))
    return [copy.accession for copy, _ in pairs if (copy.box or "").startswith(f"B{serial}-")
            and copy.state is CopyState.PACKED]  # fmt: skip


def test_an_answer_that_another_station_overtook_is_refused(station: Station, library: Library) -> None:
    """By the button of the answer, by the page of the query, and by a search beside it: one name for all."""
    query = asked(station, UNKNOWN, "r1")
    copy = packed_in(library, "1")[0]
    option = f"listed:{copy}"
    assert f'value="{option}"' in station.get(f"/pile/{query}?q={copy}").text, "a search offers it under its name"
    station.post("/api/scan", box="1", text=copy, request="r2")
    for path, fields in (("/api/decide", {"query": query}), (f"/pile/{query}/decide", {})):
        late = station.post(path, option=option, **fields)
        assert late.status_code == 409
        assert "not possible any more" in late.text
    assert station.get("/pile").text.count(f'href="/pile/{query}"') == 1
    assert station.post("/api/decide", query=query, option=f"again:{copy}").json()["answers"][0]["copy"] == copy


def test_the_page_of_a_box_tells_the_newest_step_what_waits_and_what_is_on_no_list(
    station: Station, library: Library
) -> None:
    listed = len(packed_in(library, "1"))
    copy = packed_in(library, "1")[0]
    taken = station.post("/api/scan", box="1", text=copy, request="r1").json()["answers"][0]
    page = station.get("/boxes/1").text
    assert f"Last step: unpack copy {copy}" in page
    assert f'name="entry" value="{taken["entry"]}"' in page
    query = asked(station, UNKNOWN, "r2")
    page = station.get("/boxes/1").text
    assert f"query {query} waiting" in page
    assert "may be among them" in page
    refused = station.post("/boxes/1/finish", not_seen=listed - 1)
    assert (refused.status_code, f"query {query} waiting" in refused.text) == (409, True)
    new = station.post(f"/pile/{query}/new", title="Lichens by Lamplight")
    assert new.status_code == 303
    page = station.get("/boxes/1").text
    assert f"1 of {listed} found" in page
    assert "1 more on no list" in page
    on_list, _, on_none = page.partition("Found in it, on no list")
    assert "Lichens by Lamplight" not in on_list
    assert "Lichens by Lamplight" in on_none


def test_a_check_in_is_not_taken_back_under_what_was_taken_out(station: Station, library: Library) -> None:
    entries = re.findall(r"entry (\d+) ·", station.get("/ledger").text)
    checked_in = next(seq for seq in entries if f"entry {seq} " in station.get("/ledger").text)
    station.post("/api/scan", box="3", text=packed_in(library, "3")[0], request="r1")
    refused = station.post("/api/undo", entry=checked_in)
    assert (refused.status_code, "something was taken out of box B3" in refused.text) == (409, True)


def test_a_missing_copy_that_turns_up_is_shelved_from_the_answer(station: Station, library: Library) -> None:
    missing = packed_in(library, "3")
    assert station.post("/boxes/3/finish", not_seen=len(missing)).status_code == 303
    copy = missing[0]
    (answer,) = station.post("/api/scan", text=copy, request="r1").json()["answers"]
    assert "checked in first" not in answer["html"]
    assert re.search(r"recorded as missing from box <a[^>]*>B3-[0-9]+</a>, which is finished", answer["html"])
    offered = re.search(rf'data-shelf="([^"]+)" data-copy="{copy}">Found: it stands on', answer["html"])
    assert offered is not None
    assert station.post("/api/shelve", copy=copy, shelf=offered[1], request="r2").json()["kind"] == "good"
    with library.reading() as records:
        shelved = records.get(Copy, copy)
    assert shelved is not None
    assert (shelved.state, shelved.place) == (CopyState.SHELVED, offered[1])


def test_a_page_is_told_how_the_queries_that_it_lists_were_answered(station: Station, library: Library) -> None:
    one, two, three = (asked(station, f"979000000000{nth}", f"r{nth}") for nth in (1, 2, 3))
    copy = packed_in(library, "1")[0]
    answers = f"/api/queries?query={one}&query={two}&query={three}"
    assert station.get(answers).json() == {"answers": {}}
    decided = station.post("/api/decide", query=one, option=f"listed:{copy}").json()["answers"][0]
    station.post(f"/pile/{two}/aside")
    assert station.get(answers).json() == {
        "answers": {str(one): f"copy {copy}, as listed", str(two): QueryDecision.NOT_A_BOOK.value}
    }
    station.post("/api/undo", entry=decided["entry"])
    assert str(one) not in station.get(answers).json()["answers"]


def test_to_take_back_an_undo_says_that_the_step_is_done_again(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    entry = station.post("/api/scan", box="1", text=copy, request="r1").json()["answers"][0]["entry"]
    said = []
    for _ in range(2):
        done = station.post("/api/undo", entry=entry).json()
        said.append(done["sentence"])
        entry = done["entry"]
    assert said == [f"Took back 'unpack copy' of {copy}.", f"Did 'unpack copy' of {copy} again."]


def test_the_ledger_is_shown_to_its_first_entry(station: Station) -> None:
    page = station.get("/ledger").text
    assert "Older" not in page
    older = station.get("/ledger?before=2").text
    assert "entry 1 ·" in older
    assert "Newest" in older


def test_labels_are_remembered_as_printed_once_a_person_says_so(station: Station, library: Library) -> None:
    shown = station.get("/papers?paper=shelf-labels").text
    mark = re.search(r'name="mark" value="([0-9a-f]{64})"', shown)
    assert mark is not None
    assert station.get("/papers/shelf-labels.pdf").status_code == 200
    assert 'name="mark"' in station.get("/papers?paper=shelf-labels").text, "to look at them is not to print them"
    stale = station.post("/papers/shelf-labels/printed", mark="0" * 64)
    assert (stale.status_code, "say something else by now" in stale.text) == (409, True)
    assert station.post("/papers/shelf-labels/printed", mark=mark[1]).status_code == 303
    page = station.get("/papers?paper=shelf-labels").text
    assert 'name="mark"' not in page
    assert "knows all of these as printed" in page
    unchanged = station.get("/papers/shelf-labels.pdf?only_changed=yes")
    assert (unchanged.status_code, "says what it said when last printed" in unchanged.text) == (409, True)
    again = station.post("/papers/shelf-labels/printed", mark=mark[1])
    assert again.status_code == 409
    assert "print shelf labels" in station.get("/ledger").text
    assert "They are printed" not in station.get("/papers?paper=inventory").text, "a list is not remembered"


KEPT = (
    "two\nlines; and a third",
    "می\u200cخواهم",  # "I want" in Persian, with U+200C as its orthography asks (The Unicode Standard, 23.2, 9.2)
    "क्\u200dष",  # a half form asked for by U+200D (The Unicode Standard, 12.1)
    "👩\u200d🔧 👨\u200d👩\u200d👧",  # emoji joined by U+200D (UTS #51, 2.8)
    "\u2067עברית\u2069 and English",  # isolates (UAX #9, 2.4)
    "a tab\tand a soft hy\u00adphen",
    "𠮷野 \U0001fae9",  # beyond the first plane; an emoji younger than this program's tables
)


@pytest.mark.parametrize("text", KEPT)
def test_what_is_typed_is_kept_as_it_is(station: Station, library: Library, text: str) -> None:
    """In each free text of a form, sent as a form does it and as the script does."""
    copy = packed_in(library, "1")[0]
    version = station.version(f"/copies/{copy}")
    fields = {"copy": copy, "note": text, "part-spine": text, "version": version}
    assert station.post("/api/facts", **fields).status_code == 200
    with library.reading() as records:
        kept = records.get(Copy, copy)
    assert kept is not None
    assert (kept.note, split_parts(kept.condition)["spine"]) == (text, text)
    form = {"form_token": station.token, **fields, "note": f"{text} again".replace("\n", "\r\n")}
    form["version"] = station.version(f"/copies/{copy}")
    sent = station.client.post(f"/copies/{copy}/facts", data=form, headers={"Origin": station.base})
    assert sent.status_code == 303
    with library.reading() as records:
        kept = records.get(Copy, copy)
    assert kept is not None
    assert (kept.note, split_parts(kept.condition)["spine"]) == (f"{text} again", text)
    arrived = station.post("/boxes/4/arrive", note=text, version=station.version("/boxes/4"))
    assert arrived.status_code == 303
    with library.reading() as records:
        assert find_box(records, "4").note == text


def test_a_text_too_long_to_keep_is_refused_not_cut(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    version = station.version(f"/copies/{copy}")
    said = station.post("/api/facts", copy=copy, note="x" * 2001, version=version)
    assert (said.status_code, "2001 characters" in said.json()["sentence"]) == (400, True)
    assert station.post("/api/facts", copy=copy, note="x" * 2000, version=version).status_code == 200
    assert station.get(f"/catalog?q={'x' * 2001}").status_code == 400


@pytest.mark.parametrize("text", ["a\x00b", "a\x1bb", "a\ud800b"])
def test_a_character_that_nobody_types_is_refused_not_left_out(station: Station, library: Library, text: str) -> None:
    copy = packed_in(library, "1")[0]
    fields = {"copy": copy, "note": text, "version": station.version(f"/copies/{copy}")}
    headers = {"X-Form-Token": station.token, "Origin": station.base, "Content-Type": "application/json"}
    sent = station.client.post("/api/facts", content=json.dumps(fields), headers=headers)
    assert sent.status_code == 400


def test_help_while_typing_says_that_there_is_more(station: Station) -> None:
    helped = station.get("/api/typing?text=th").json()
    assert helped["more"] is (len(helped["titles"]) == 6)
    assert station.get("/api/typing?text=9789999812252").json()["more"] is False


def test_a_copy_is_withdrawn_and_taken_back(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    version = station.version(f"/copies/{copy}")
    assert station.post(f"/copies/{copy}/withdraw", reason="sold", version=version).status_code == 409, (
        "it lies in a box that arrived"
    )
    station.post("/api/scan", box="1", text=copy, request="r1")
    page = station.get(f"/copies/{copy}").text
    assert f'action="/copies/{copy}/withdraw"' in page
    assert station.post(f"/copies/{copy}/withdraw", reason="eaten").status_code == 400
    assert station.post(f"/copies/{copy}/withdraw", reason="sold", amount="40").status_code == 400, "no currency"
    sold = {
        "version": station.version(f"/copies/{copy}"),
        "reason": "sold",
        "on": "2026-01-31",
        "amount": "40.00",
        "currency": "EUR",
        "note": "to a shop",
    }
    assert station.post(f"/copies/{copy}/withdraw", **sold).status_code == 303
    page = station.get(f"/copies/{copy}").text
    assert "sold 2026-01-31, EUR 40.00, to a shop" in page
    for offered in (
        "data-facts",
        "data-clean",
        f'/copies/{copy}/shelf"',
        'type="file"',
        "Take a picture",
        "counts in lists",
    ):
        assert offered not in page, f"{offered}: what is gone is not inspected, shelved, photographed or counted"
    assert f"/steps/bring-back?copy={copy}" in page
    assert "(counts in no list: the copy left)" in page
    other = station.version(f"/copies/{packed_in(library, '1')[0]}")
    with library.reading() as records:
        shelf = next(place.number for place in records.all(Place) if place.kind is PlaceKind.SHELF)
    shelved = station.post(f"/copies/{copy}/shelf", shelf=shelf, version=other)
    assert (shelved.status_code, "withdrawn" in shelved.text) == (409, True)
    assert f'action="/copies/{copy}/withdraw"' not in page
    assert copy not in station.get("/boxes/1").text.partition("Last step")[0]
    entry = re.findall(r'name="entry" value="(\d+)"', page)[0]
    assert station.post("/undo", entry=entry).status_code == 303
    assert "sold 2026-01-31" not in station.get(f"/copies/{copy}").text.partition("History")[0]


def test_a_query_that_another_tab_decided_is_said_to_be_decided(station: Station, library: Library) -> None:
    """Not that its answer is impossible now, which is only what deciding it has made of the answer."""
    query = asked(station, UNKNOWN, "r1")
    option = f"listed:{packed_in(library, '1')[0]}"
    assert station.post(f"/pile/{query}/decide", option=option).status_code == 303
    for path, fields in ((f"/pile/{query}/decide", {}), ("/api/decide", {"query": query})):
        late = station.post(path, option=option, **fields)
        assert (late.status_code, "was decided before" in late.text) == (409, True)


def test_the_ledger_offers_to_take_back_what_can_be_taken_back(station: Station, library: Library) -> None:
    """An entry that was taken back already, or on which a later one was built, has no button."""
    copy = packed_in(library, "1")[0]
    first = station.post("/api/scan", box="1", text=copy, request="r1").json()["answers"][0]["entry"]
    by = station.post("/api/undo", entry=first).json()["entry"]
    again = station.post("/api/scan", box="1", text=copy, request="r2").json()["answers"][0]["entry"]
    query = asked(station, UNKNOWN, "r3")
    queued = again + 1
    page = station.get("/ledger").text
    offered = {int(seq) for seq in re.findall(r'name="entry" value="(\d+)"', page)}
    assert {first, by} & offered == set()
    assert {again, queued} <= offered
    assert f"taken back by entry {by}" in page
    assert f"entry {first}: unpack copy, {copy}" in page
    assert f"entry {again} was built on it" in page
    assert f"put on query pile</b> query {query}" in page


def test_several_copies_are_put_on_a_shelf_at_once(station: Station, library: Library) -> None:
    copies = packed_in(library, "1")[:2]
    for copy in copies:
        station.post("/api/scan", box="1", text=copy, request=copy)
    assert station.post("/shelves", copy=" ".join(copies), shelf="S4-75").status_code == 303
    page = station.get("/shelves/S4-75").text
    assert all(copy in page for copy in copies)
