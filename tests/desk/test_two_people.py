"""Two people at one record: nothing is written over unseen, whichever form it is.

The expected outcomes are those of a merge with a common ancestor, worked by hand: a field that one side alone has
changed and the other left as it was overlaps only where it would be written over.
"""

import re
from html.parser import HTMLParser

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.flow.lookup.resolve import find_box
from intake.model.boxes import BoxState
from intake.model.editions import Copy, Edition, Grade
from tests.desk.conftest import Station
from tests.desk.test_records import packed_in, version_of

EDITION = ("title", "contributors", "publisher", "edition", "binding", "subject", "volume", "year")


class _Values(HTMLParser):
    """The values that a form of a page would send, if nobody touched it."""

    def __init__(self, action: str) -> None:
        super().__init__()
        self.action, self.inside, self.values, self.area = action, False, dict[str, str](), ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = given.get("action") == self.action
        if not self.inside or not given.get("name"):
            return
        if tag == "input" and (given.get("type") not in ("radio", "checkbox") or "checked" in given):
            self.values[given["name"]] = given.get("value", "")
        if tag == "textarea":
            self.area, self.values[given["name"]] = given["name"], ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.values[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self.area:
            self.values[self.area] = self.values[self.area].removeprefix("\n")
            self.area = ""


def form(page: str, action: str) -> dict[str, str]:
    parser = _Values(action)
    parser.feed(page)
    assert parser.values, "the page has no such form"
    return parser.values


def edition_of(library: Library, number: int = 1) -> Edition:
    with library.reading() as records:
        edition = records.get(Edition, number)
    assert edition is not None
    return edition


def copy_of(library: Library, accession: str) -> Copy:
    with library.reading() as records:
        copy = records.get(Copy, accession)
    assert copy is not None
    return copy


def entries(library: Library) -> int:
    with library.reading() as records:
        return latest_entries(records, 1)[0].seq


def test_a_form_that_nobody_touched_changes_nothing(station: Station, library: Library) -> None:
    before = entries(library)
    opened = form(station.get("/editions/1").text, "/editions/1")
    assert set(EDITION) <= opened.keys()
    assert station.post("/editions/1", **opened).status_code == 303
    assert entries(library) == before


def test_of_two_that_write_the_same_field_the_second_chooses(station: Station, library: Library) -> None:
    opened = form(station.get("/editions/1").text, "/editions/1")
    was = edition_of(library)
    assert station.post("/editions/1", **{**opened, "publisher": "First Press", "year": "1901"}).status_code == 303
    mine = {**opened, "publisher": "Second Press", "subject": "Mine alone"}
    late = station.post("/editions/1", **mine)
    assert late.status_code == 409
    assert edition_of(library).publisher == "First Press"
    for value in ("First Press", "Second Press", was.publisher, "1901"):
        assert value in late.text, "what another wrote, what this person wrote, and what it was"
    chooses = form(late.text, "/editions/1")
    assert (chooses["year"], chooses["subject"]) == ("1901", "Mine alone"), "a field left alone keeps what is new"
    assert "publisher" not in chooses, "what both have written has no default"
    assert station.post("/editions/1", **{**chooses, "publisher": "Second Press"}).status_code == 303
    saved = edition_of(library)
    assert (saved.publisher, saved.year, saved.subject) == ("Second Press", 1901, "Mine alone")
    assert saved.title == was.title


def test_a_third_who_saves_while_one_chooses_is_shown_too(station: Station, library: Library) -> None:
    opened = form(station.get("/editions/1").text, "/editions/1")
    station.post("/editions/1", **{**opened, "binding": "cloth"})
    chooses = form(station.post("/editions/1", **{**opened, "binding": "leather"}).text, "/editions/1")
    third = form(station.get("/editions/1").text, "/editions/1")
    station.post("/editions/1", **{**third, "binding": "half leather"})
    again = station.post("/editions/1", **{**chooses, "binding": "leather"})
    assert (again.status_code, "half leather" in again.text) == (409, True)


def test_both_wrote_the_same(station: Station, library: Library) -> None:
    opened = form(station.get("/editions/1").text, "/editions/1")
    before = entries(library)
    for _ in range(2):
        assert station.post("/editions/1", **{**opened, "binding": "cloth"}).status_code == 303
    assert entries(library) == before + 1


def test_facts_about_a_copy_from_the_page_and_from_the_bench(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    answer = station.post("/api/scan", box="1", text=copy, request="r1").json()["answers"][0]
    at_bench = {"copy": copy, "version": version_of(answer["html"])}
    page = station.get(f"/copies/{copy}").text
    action = f"/copies/{copy}/facts"
    on_page = form(page, action)
    on_page.pop("as_recorded", None)  # the other form of the page, which confirms the record as it is
    sent = station.post(action, **{**on_page, "grade": "Fine", "part-spine": "faded", "note": "one\ntwo"})
    assert sent.status_code == 303
    late = station.post("/api/facts", **at_bench, grade="Good", **{"part-spine": "torn", "part-boards": "rubbed"})
    assert late.status_code == 409
    assert copy_of(library, copy).condition == "spine: faded; Errata slip present"
    shown = late.json()["html"]
    assert re.findall(r"<legend>(.+?)</legend>", shown) == ["Condition of the book", "Damage to the spine"]
    chosen = {"version": version_of(shown), "grade": "Fine", "part-spine": "torn", "part-boards": "rubbed"}
    assert station.post("/api/facts", copy=copy, **chosen).status_code == 200
    now = copy_of(library, copy)
    assert (now.grade, now.condition, now.note) == (
        Grade.FINE,
        "boards: rubbed; spine: torn; Errata slip present",
        "one\ntwo",
    )


def test_a_repeated_request_is_answered_as_the_first_was(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    fields = {"copy": copy, "version": version_of(station.get(f"/copies/{copy}").text), "note": "seen", "request": "f1"}
    first = station.post("/api/facts", **fields).json()
    assert station.post("/api/facts", **fields).json() == first


def test_a_copy_that_another_has_put_elsewhere(station: Station, library: Library) -> None:
    copy = packed_in(library, "1")[0]
    station.post("/api/scan", box="1", text=copy, request="r1")
    page = station.get(f"/copies/{copy}").text
    action = f"/copies/{copy}/shelf"
    opened = form(page, action)
    assert station.post("/shelves", copy=copy, shelf="S4-75").status_code == 303
    late = station.post(action, **{**opened, "shelf": "S3-57"})
    assert (late.status_code, "S4-75" in late.text, "S3-57" in late.text) == (409, True, True)
    assert copy_of(library, copy).place == "S4-75"
    withdrawn = station.post(f"/copies/{copy}/withdraw", reason="sold", version=opened["version"])
    assert withdrawn.status_code == 409
    kept = form(withdrawn.text, f"/copies/{copy}/withdraw")
    assert (
        station.post(f"/copies/{copy}/withdraw", **{**kept, "state": copy_of(library, copy).state}).status_code == 303
    )
    assert copy_of(library, copy).place == "S4-75"
    assert station.post(f"/copies/{copy}/withdraw", **{**kept, "state": "withdrawn"}).status_code == 303


def test_a_box_that_another_has_checked_in_or_emptied_further(station: Station, library: Library) -> None:
    with library.reading() as records:
        fourth, first = find_box(records, "4").number, find_box(records, "1").number
    opened = form(station.get("/boxes/4").text, f"/boxes/{fourth}/arrive")
    sent = station.post("/boxes/4/arrive", **{**opened, "note": "seal whole"})
    assert sent.status_code == 303
    late = station.post("/boxes/4/arrive", **{**opened, "note": "corner crushed"})
    assert late.status_code == 409
    for note in ("seal whole", "corner crushed"):
        assert note in late.text
    finishing = form(station.get("/boxes/1").text, f"/boxes/{first}/finish")
    station.post("/api/scan", box="1", text=packed_in(library, "1")[0], request="r1")
    assert station.post("/boxes/1/finish", **finishing).status_code == 409
    with library.reading() as records:
        assert find_box(records, "1").state is BoxState.ARRIVED


@pytest.mark.parametrize("path", ["/editions/1", "/copies/{copy}/facts", "/api/facts", "/copies/{copy}/shelf"])
def test_a_form_without_a_version_is_refused(station: Station, library: Library, path: str) -> None:
    copy = packed_in(library, "1")[0]
    station.post("/api/scan", box="1", text=copy, request="r1")
    sent = station.post(path.format(copy=copy), copy=copy, title="x", note="x", shelf="S4-75")
    assert sent.status_code == 400


def test_what_is_recorded_with_line_breaks_or_spaces_stays_so(station: Station, library: Library) -> None:
    """A line field of a browser drops line breaks (HTML Living Standard, value sanitization of type=text)."""
    opened = form(station.get("/editions/1").text, "/editions/1")
    station.post("/editions/1", **{**opened, "subject": "first line\nsecond line"})
    opened = form(station.get("/editions/1").text, "/editions/1")
    assert opened["subject"] == "first line\nsecond line"
    assert re.search(r'<textarea id="subject"', station.get("/editions/1").text)
    station.post("/editions/1", **{**opened, "binding": "cloth"})
    assert edition_of(library).subject == "first line\nsecond line"


@pytest.mark.parametrize("year", ["19x5", "18955", "-5"])
def test_a_year_that_is_none_is_refused_not_left_out(station: Station, library: Library, year: str) -> None:
    opened = form(station.get("/editions/1").text, "/editions/1")
    assert station.post("/editions/1", **{**opened, "year": year}).status_code == 400
