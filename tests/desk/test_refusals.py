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
from intake.edges.store.library import Library
from intake.flow.lookup import status
from intake.edges.store.queries.boxes import list_boxes
from intake.errors import StoreError
from intake.model.boxes import BoxState
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, Edition
from tests.desk.conftest import Running, Station, let_in

VOID = frozenset(("input", "br", "img", "meta", "link", "path", "rect", "hr"))
UNTYPED = ("hidden", "submit", "file", "checkbox", "radio", "button")
LONG = "what a tired person typed, too long to keep, " * 60 + "."
assert len(LONG) > LONGEST_TEXT
NEVER_ON_A_PAGE = {"/pair", "/asked/{number}/word", "/pile/{query}/take", "/papers/{paper}/whole", "/papers/{paper}/printed"}
"""Forms of a page without a session, of a phone's request, of an answer of a library's server, and with buttons only."""


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
def pages(desk: Running, library: Library, station: Station) -> list[str]:
    """Addresses that show every form: a page for each route, of records that have what the form asks for."""
    let_in(desk)
    station.post("/api/scan", box="1", text="9780110002224", request="r-1")
    with library.reading() as records:
        boxes = list_boxes(records)
        copy = records.all(Copy)[0]
        edition, other = records.all(Edition)[:2]
    library.apply(
        Action(ActionKind.EDIT_EDITION, "a serial", "test"), [Change(edition, replace(edition, collects="Gull Notes 1-3"))]
    )
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
        f"/editions/{edition.id}/merge?into={other.number}",
        "/serials/Gull%20Notes",
        "/shelves",
        "/papers?paper=shelf-labels",
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


def send(station: Station, page: str, form: Form, **changed: str) -> httpx.Response:
    headers = {"Origin": station.base, "Referer": f"{station.base}{page}"}
    data = {**form.hidden, **form.typed, **changed}
    return station.client.post(form.action, data=data, headers=headers)


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
            kept = typed | {name: text for name, text in wrong.items() if name == first}
            (filled,) = [one for one in again if one.typed.items() >= kept.items()] or [Form("", "")]
            assert filled.action, (where, [one.typed for one in again])
            if first in wrong:
                assert "not-done" in filled.marked[first].split(), where
            assert {one.hidden["form_token"] for one in again} == {station.token}
    posts = {route.path for route in ROUTES if "POST" in route.methods and not route.path.startswith("/api/")}
    assert posts - reached == NEVER_ON_A_PAGE
