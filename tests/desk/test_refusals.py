"""Whatever the desk refuses, the page keeps its navigation, says why, and a form keeps what was typed.

Source: Web Content Accessibility Guidelines 2.2, 3.3.1 (error identification: the item is identified and the error is
described in text) and 4.1.2 (states such as invalid can be determined); WAI-ARIA 1.2 (aria-invalid, aria-describedby).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest
from starlette.routing import Match

from intake.desk.app import ROUTES
from intake.desk.rendering import LONGEST_TEXT, PLACES
from intake.desk.steps.step_registry import STEPS
from intake.edges import network
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.errors import StoreError
from intake.model.boxes import BoxState
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, Edition
from tests.desk.conftest import Running, Station, let_in, running
from tests.desk.test_edition_pages import twins

VOID = frozenset(("input", "br", "img", "meta", "link", "path", "rect", "hr"))
UNTYPED = ("hidden", "submit", "file", "checkbox", "radio", "button")
LONG = "what a tired person typed, too long to keep, " * 60 + "."
assert len(LONG) > LONGEST_TEXT
NEVER_HERE = {"/pair", "/asked/{number}/word", "/pile/{query}/take", "/pile/{query}/lookup"}
"""Forms of a page without a session, for a phone's request, and with a library's server."""


@dataclass
class Form:
    """A form of a page as a browser would send it: the first button is pressed."""

    action: str
    method: str
    hidden: dict[str, str] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)
    ticked: dict[str, str] = field(default_factory=dict)
    marked: dict[str, str] = field(default_factory=dict)


class Reader(HTMLParser):
    """Reads the forms of a page, its links and its ids, apart from the desk's own reading of them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: list[str] = []
        self.texts: dict[str, str] = {}
        self.current: list[str] = []
        self._area = ""
        self._ids: list[tuple[str, str]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {name: value or "" for name, value in attrs}
        if tag not in VOID:
            self._ids.append((tag, has.get("id", "")))
        if tag == "form":
            self.forms.append(Form(has.get("action", ""), has.get("method", "get")))
        elif tag == "a":
            self.links.append(has.get("href", ""))
            if "aria-current" in has:
                self.current.append(has["href"])
        elif self.forms and (name := has.get("name")):
            self._control(tag, name, has)

    def _control(self, tag: str, name: str, has: dict[str, str]) -> None:
        form, kind = self.forms[-1], has.get("type", "text")
        if "aria-invalid" in has:
            form.marked[name] = has.get("aria-describedby", "")
        if tag == "textarea":
            form.typed[name], self._area = "", name
        elif tag == "input" and kind == "hidden":
            form.hidden[name] = has.get("value", "")
        elif tag == "input" and kind == "checkbox":
            form.ticked[name] = "yes" if "checked" in has else ""
        elif tag == "input" and kind not in UNTYPED and kind != "date":
            form.typed[name] = has.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        self._area = "" if tag == "textarea" else self._area
        while self._ids and self._ids.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self._area:
            self.forms[-1].typed[self._area] += data.removeprefix("\n")
        for _, name in self._ids:
            if name:
                self.texts[name] = self.texts.get(name, "") + data


def check_navigation(answer: httpx.Response) -> Reader:
    """Check that an answer has the navigation, the main part and the sentence; return it as it was read."""
    shown = Reader(answer.text)
    assert {path for path, _ in PLACES} <= set(shown.links), answer.text
    assert '<main id="main">' in answer.text
    assert "Not done" in shown.texts["not-done"]
    assert re.search("<title>Not done", answer.text)
    return shown


@pytest.fixture
def lan() -> bool:
    return False


@pytest.fixture
def desk(library: Library, tmp_path: Path, *, lan: bool) -> Iterator[Running]:
    with running(library, tmp_path / "keys", lan=lan) as desk:
        yield desk


@pytest.fixture
def pages(desk: Running, library: Library, station: Station) -> list[str]:
    """Addresses that show every form: a page for each route, of records that have what the form asks for."""
    let_in(desk)
    let_in(desk)
    station.post("/api/scan", box="1", text="9780110002224", request="r-1")
    with library.reading() as records:
        boxes = list_boxes(records)
        copy = records.all(Copy)[0]
        edition = records.all(Edition)[0]
    serial = Change(edition, replace(edition, collects="Gull Notes 1-3"))
    library.apply(Action(ActionKind.EDIT_EDITION, "a serial", "test"), [serial])
    kept, double = twins(library)
    awaited = next(box.number for box in boxes if box.state not in (BoxState.ARRIVED, BoxState.UNPACKED))
    arrived = next(box.number for box in boxes if box.state is BoxState.ARRIVED)
    query = re.search(r'href="/pile/(\d+)', station.get("/pile").text)
    assert query
    return [
        "/",
        "/pairing",
        "/station",
        "/asked",
        "/pile",
        f"/pile/{query[1]}",
        f"/boxes/{awaited}",
        f"/boxes/{arrived}",
        f"/unpack/{arrived}",
        f"/copies/{copy.accession}",
        f"/editions/{edition.id}",
        f"/editions/{double.id}/merge?into={kept.title}",
        "/serials/Gull%20Notes",
        "/shelves",
        "/papers?paper=shelf-labels",
        "/papers?paper=packing-list",
        *(f"/steps/{step.name}" for step in STEPS),
    ]


def forms_of(station: Station, pages: list[str]) -> Iterator[tuple[str, Form]]:
    seen: set[tuple[str, frozenset[str]]] = set()
    for path in pages:
        answer = station.get(path)
        assert answer.status_code == 200, (path, answer.text)
        for form in Reader(answer.text).forms:
            kind = (form.action, frozenset(form.typed))
            if form.method == "post" and kind not in seen:
                seen.add(kind)
                yield path, form


def send(station: Station, page: str, form: Form, *, referer: str | None = None, **changed: str) -> httpx.Response:
    came = page if referer is None else referer
    headers = {"Origin": station.base, "Referer": came if "://" in came else f"{station.base}{came}"}
    data = {**form.hidden, **form.typed, **changed}
    return station.client.post(form.action, data=data, headers=headers)


@pytest.mark.skipif(network.house_address() is None, reason="this machine is in no network")
@pytest.mark.parametrize("lan", [True])
def test_every_form_that_is_refused_keeps_the_navigation_and_what_was_typed(station: Station, pages: list[str]) -> None:
    reached: set[str] = set()
    for page, form in forms_of(station, pages):
        scope = {"type": "http", "method": "POST", "path": httpx.URL(form.action).path}
        reached |= {route.path for route in ROUTES if route.matches(scope)[0] is Match.FULL}
        typed = {name: f"typed <{name}> & “kept”" for name in form.typed}
        # A page that was opened before the desk was started again, and a text that is too long to be kept.
        first = next(iter(typed), "")
        for wrong in ({"form_token": "0" * 64}, *([{first: LONG}] if first else ())):
            answer = send(station, page, form, **typed | wrong)
            where = (page, form.action, wrong.keys())
            assert answer.status_code in (400, 403), where
            again = [one for one in check_navigation(answer).forms if one.action == form.action]
            again = [one for one in again if one.method == "post"]
            kept = typed | {name: text for name, text in wrong.items() if name == first}
            (filled,) = [one for one in again if one.typed.items() >= kept.items()] or [Form("", "")]
            assert filled.action, (where, [one.typed for one in again])
            if first in wrong:
                assert "not-done" in filled.marked[first].split(), where
            assert {one.hidden["form_token"] for one in again} == {station.token}
    posts = {route.path for route in ROUTES if "POST" in (route.methods or ()) and not route.path.startswith("/api/")}
    assert posts - reached == NEVER_HERE


def test_a_form_is_refused_at_the_field_that_it_is_about_and_kept_as_it_was_opened(
    station: Station, library: Library
) -> None:
    with library.reading() as records:
        copy, edition = records.all(Copy)[0].accession, records.all(Edition)[0]
    first, then = (replace(edition, collects="Gull Notes 1-3", subject=subject) for subject in ("", "gulls"))
    library.apply(Action(ActionKind.EDIT_EDITION, "a serial", "test"), [Change(edition, first)])
    opened = {path: station.version(path) for path in (f"/copies/{copy}", f"/editions/{edition.id}")}
    library.apply(Action(ActionKind.EDIT_EDITION, "again", "test"), [Change(first, then)])
    wrong = (
        ("/serials/Gull%20Notes", "/serials/Gull%20Notes", "extent", "one to nine", 400),
        (f"/editions/{edition.id}", f"/editions/{edition.id}", "year", "MCMXXX", 400),
        (f"/copies/{copy}", f"/copies/{copy}/shelf", "shelf", "Nowhere 77", 409),
        ("/shelves", "/shelves", "shelf", "S999", 409),
        ("/", "/unpack", "box", "B999", 409),
    )
    for page, action, name, text, status in wrong:
        forms = [form for form in Reader(station.get(page).text).forms if form.action == action]
        form = next(form for form in forms if name in form.typed)
        version = {"version": opened[page]} if page in opened else {}
        for referer in (page, "/ledger", "https://elsewhere.example/x"):
            answer = send(station, page, form, referer=referer, **{name: text, **version})
            assert answer.status_code == status, (action, answer.status_code)
            shown = check_navigation(answer)
            (again,) = [one for one in shown.forms if one.action == action and one.typed.get(name) == text]
            assert (list(again.marked), again.hidden.items() >= version.items()) == ([name], True)
            assert answer.text.index('id="not-done"') > answer.text.index(f'name="{name}"'), "it stands after its field"
            assert shown.current or page == "/", action


def test_what_cannot_be_shown_keeps_the_navigation_and_leads_back(station: Station) -> None:
    places = {
        "/copies/A999-1": "/copies", "/editions/99999": "/catalog", "/editions/99999/merge?into=x": "/catalog",
        "/boxes/B999": "/boxes", "/unpack/B999": "/", "/shelves/S999": "/shelves", "/bookcases/S999": "/shelves",
        "/serials/None": "/serials", "/sets/99999": "/sets", "/pile/999": "/pile", "/ledger/99999": "/ledger",
        "/papers/none.pdf": "/papers", "/steps/none": "/steps", "/kept/none": "/", "/archives/none": "/",
        "/pictures/thumb/none": "/catalog", "/asked/99": "/asked", "/nowhere": "/", "/copies/A1/why": "/copies/A1",
        "/undo": "/",
    }  # fmt: skip
    for path, above in places.items():
        for referer, back in ((None, above), ("/ledger?from=51&message=x", "/ledger?from=51"), (path, above)):
            headers = {"Referer": f"{station.base}{referer}"} if referer else {}
            answer = station.client.get(path, headers=headers)
            assert answer.status_code in (404, 405, 409, 400), (path, answer.status_code)
            shown = check_navigation(answer)
            assert back in shown.links, (path, referer, shown.links)
    token = {"form_token": station.token, "option": "new:7", "note": "typed"}
    pressed = station.client.post("/pile/999", data=token, headers={"Origin": station.base})
    assert ("typed" in pressed.text, "new:7" in pressed.text) == (True, False), "a button's word was not typed"
    typed = station.client.get("/editions/1/merge", params={"into": "Nothing like it"})
    assert [form.typed["into"] for form in check_navigation(typed).forms if "into" in form.typed] == ["Nothing like it"]


def test_a_refusal_needs_nothing_of_a_library_that_is_broken(
    station: Station, monkeypatch: pytest.MonkeyPatch, library: Library
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise StoreError("The library", "is damaged", "check it")

    form = Reader(station.get("/shelves").text).forms[0]
    monkeypatch.setattr(Library, "reading", broken)
    refused = send(station, "/shelves", form, copy="A <1>", shelf="B")
    for answer in (station.get("/boxes"), station.get("/nowhere"), refused):
        assert answer.status_code in (404, 503)
        shown = check_navigation(answer)
        assert "/steps/check" in shown.links or answer.status_code == 404
    assert "A &lt;1&gt;" in refused.text


def test_a_form_of_another_site_or_too_much_of_it_is_not_shown_again(station: Station) -> None:
    form = Reader(station.get("/shelves").text).forms[0]
    strange = station.client.post(
        "/shelves", data=form.hidden | {"copy": "ZZZ"}, headers={"Origin": "https://x.example"}
    )
    much = station.client.post("/shelves", data={"copy": "Z" * 300_000}, headers={"Origin": station.base})
    for answer, status in ((strange, 403), (much, 413)):
        assert (answer.status_code, "ZZZ" in answer.text) == (status, False)
        check_navigation(answer)
    stranger = Station(station.base)
    assert "<nav" not in stranger.get("/boxes").text
