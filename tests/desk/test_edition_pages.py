"""An edition is merged into another, or withdrawn with all its copies, at the desk; each step shown or asked first."""

import html
import re

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.editions import editions_titled
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from tests.desk.conftest import Station


def twins(library: Library) -> tuple[Edition, Edition]:
    """Record one book twice: the one to keep, and a double of it without a number."""
    new = Provisional()
    kept = Edition(id=new.id(), title="Annals of Sleet", year=1950)
    double = Edition(id=new.id(), title="Anals of Sleet", pages=90)
    library.apply(Action(ActionKind.IMPORT_EDITIONS, "twins", "test"), made(kept, double))
    with library.reading() as records:
        (one,), (two,) = (editions_titled(records, [title]) for title in (kept.title, double.title))
    return one, two


def fields_in(page: str) -> dict[str, str]:
    return {name: html.unescape(value) for name, value in re.findall(r'name="(into|shown)" value="([^"]*)"', page)}


def titles(library: Library) -> list[str]:
    with library.reading() as records:
        return [edition.title for edition in records.all(Edition) if "Sleet" in edition.title]


def test_a_merge_is_shown_done_and_taken_back(station: Station, library: Library) -> None:
    kept, double = twins(library)
    assert f'action="/editions/{double.id}/merge"' in station.get(f"/editions/{double.id}").text
    shown = station.get(f"/editions/{double.id}/merge?into=Annals of Sleet")
    assert "Annals of Sleet wins over Anals of Sleet" in html.unescape(shown.text)
    assert station.post(f"/editions/{double.id}/merge", into="Annals of Sleet").status_code == 409, "it was not shown"
    done = station.post(f"/editions/{double.id}/merge", **fields_in(shown.text))
    assert (done.status_code, done.headers["location"].partition("?")[0]) == (303, f"/editions/{kept.id}")
    assert titles(library) == ["Annals of Sleet"]
    with library.reading() as records:
        merged = records.get(Edition, kept.id)
        assert merged is not None
        assert (merged.year, merged.pages) == (1950, 90)
    entry = re.findall(r'name="entry" value="(\d+)"', station.get("/ledger").text)[0]
    assert station.post("/undo", entry=entry).status_code == 303
    assert sorted(titles(library)) == ["Anals of Sleet", "Annals of Sleet"]


def test_a_merge_is_shown_again_where_it_would_be_another_by_now(station: Station, library: Library) -> None:
    kept, double = twins(library)
    fields = fields_in(station.get(f"/editions/{double.id}/merge?into=Annals of Sleet").text)
    version = station.version(f"/editions/{kept.id}")
    assert station.post(f"/editions/{kept.id}", title="Annals of Hail", version=version).status_code == 303
    again = station.post(f"/editions/{double.id}/merge", **fields)
    assert again.status_code == 409
    assert "Annals of Hail" in again.text
    assert station.post(f"/editions/{double.id}/merge", **fields_in(again.text)).status_code == 303


def test_a_merge_into_what_is_none_or_itself_is_refused(station: Station, library: Library) -> None:
    _, double = twins(library)
    assert station.get(f"/editions/{double.id}/merge?into=No such book at all").status_code == 409
    assert station.get(f"/editions/{double.id}/merge?into=Anals of Sleet").status_code == 409
    assert station.get("/editions/999999/merge?into=Anals of Sleet").status_code == 404
    assert station.post("/editions/999999/merge", into="#1").status_code == 404


def test_all_copies_of_an_edition_leave_at_once(station: Station, library: Library) -> None:
    with library.reading() as records:
        copies = [copy for copy, _ in all_copies(records)]
    boxes: dict[int, set[str]] = {}
    for one in copies:
        boxes.setdefault(one.edition_id, set()).add((one.box or "").partition("-")[0])
    copy = next(one for one in copies if boxes[one.edition_id] == {"B1"} and one.state is CopyState.PACKED)
    path = f"/editions/{copy.edition_id}"
    assert station.post(f"{path}/withdraw", reason="sold").status_code == 409, "it lies in a box that arrived"
    for nth, one in enumerate(one for one in copies if one.edition_id == copy.edition_id):
        station.post("/api/scan", box="1", text=one.accession, request=f"r{nth}")
    assert station.post(f"{path}/withdraw", reason="eaten").status_code == 400
    version = station.version(path)
    another = Copy(accession=Provisional().number(OwnKind.COPY), edition_id=copy.edition_id)
    library.apply(Action(ActionKind.ADD_COPIES, "one more", "another"), made(another))
    refused = station.post(f"{path}/withdraw", reason="given away", on="2026-01-31", version=version)
    assert (refused.status_code, "that its page did not show (A" in refused.text) == (409, True)
    version = station.version(path)
    assert station.post(f"{path}/withdraw", reason="given away", on="2026-01-31", version=version).status_code == 303
    with library.reading() as records:
        gone = [one for one in records.all(Copy) if one.edition_id == copy.edition_id]
    assert {one.state for one in gone} == {CopyState.WITHDRAWN}
    assert f'action="{path}/withdraw"' not in station.get(path).text
