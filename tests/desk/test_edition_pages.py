"""An edition is merged into another, or withdrawn with all its copies, at the desk; each step shown or asked first."""

import html
import re
from dataclasses import replace
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.editions import editions_titled
from intake.flow.corrections.edit_edition import EDITION_FIELDS
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import BookSet, Copy, CopyState, Edition
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


def form_of(page: str) -> dict[str, str]:
    """Return the fields of the form that corrects an edition, as the page has them."""
    part = page[page.index("Correct this entry") : page.index("It is recorded twice")]
    return {name: html.unescape(value) for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', part)}


def test_every_field_of_a_list_of_editions_can_be_corrected_at_the_desk(station: Station, library: Library) -> None:
    edition, _ = twins(library)
    path = f"/editions/{edition.id}"
    form = form_of(station.get(path).text)
    assert set(EDITION_FIELDS) <= form.keys()
    typed = {
        "number": "978-0-306-40615-7", "height_mm": "31,5 cm", "thickness_mm": "31", "mass_g": "2,15 kg",
        "pages": "408", "language": "pt", "set": "Weathers", "volume": "2", "price": "12,50", "currency": "EUR",
    }  # fmt: skip
    assert station.post(path, **form | typed).status_code == 303
    with library.reading() as records:
        after = records.get(Edition, edition.id)
        assert after is not None
        (weathers,) = [one for one in records.all(BookSet) if one.title == "Weathers"]
    # The number is the worked example of the ISBN Users' Manual, 7th edition, for its check digit.
    assert after == replace(
        edition, number="9780306406157", height_mm=315.0, thickness_mm=31.0, mass_g=2150.0, pages=408, language="pt",
        set_id=weathers.id, volume="2", price=Decimal("12.50"), currency="EUR",
    )  # fmt: skip
    page = station.get(path).text
    assert "315 mm high, 31 mm thick, 2.150 kg" in page
    # Sent again untouched, nothing changes; emptied, a price goes with its currency.
    assert "Nothing" in station.post(path, **form_of(page)).headers["location"]
    assert station.post(path, **form_of(page) | {"price": "", "set": "", "mass_g": ""}).status_code == 303
    with library.reading() as records:
        last = records.get(Edition, edition.id)
    assert last == replace(after, price=None, currency="", set_id=None, mass_g=None)


def test_a_wrong_value_is_refused_at_its_field_with_all_that_was_typed(station: Station, library: Library) -> None:
    edition, _ = twins(library)
    path = f"/editions/{edition.id}"
    form = form_of(station.get(path).text)
    for field, text in (("mass_g", "heavy"), ("number", "9780306406158"), ("pages", "many"), ("price", "dear")):
        answer = station.client.post(
            path,
            data=form | {field: text, "form_token": station.token, "publisher": "Sleet & Sons"},
            headers={"Origin": station.base},
        )
        assert answer.status_code == 400, field
        shown = re.search(rf'<input[^>]*id="{field}"[^>]*>', answer.text)
        assert shown is not None
        assert f'value="{text}"' in shown[0]
        assert 'aria-invalid="true"' in shown[0], shown[0]
        assert "Sleet &amp; Sons" in answer.text
