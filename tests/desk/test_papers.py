"""The page of papers offers every paper of the registry with its options, each in every format."""

import html
import re
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, expect

from intake.desk import desk_startup, made_papers
from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.papers import list_bookcases
from intake.edges.store.queries.shelves import shelves_in_order
from intake.errors import IntakeError
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.options import Suggestion, with_typed
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS, find_paper
from intake.flow.papers.render import RenderedPaper, render
from intake.model.boxes import Consignment
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Edition
from intake.units.advice import ReadAt, read_at
from tests.desk.conftest import Running, Station, visit
from tests.desk.shared_desk import desk, station
from tests.made_library import content

__all__ = ["desk", "station"]

KINDS = {
    PaperFormat.PDF: ("application/pdf", b"%PDF-"),
    PaperFormat.CSV: ("text/csv; charset=utf-8", b""),
    PaperFormat.XLSX: ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", b"PK"),
    PaperFormat.ZIP: ("application/zip", b"PK"),
    PaperFormat.SVG: ("image/svg+xml", b"<svg "),
}
NEEDED = {"copy": "1", "limit": "100", "regime": "hague-visby", "rate": "1.2", "rates_on": "2026-03-31",
          "seconds": "0.2", "relief": "eu", "goods": "household", "delivered": "2026-03-31",
          "copies": "1"}  # fmt: skip


def chosen(desk: Running, paper: Paper[Any]) -> dict[str, str]:
    """Return what the fields of a paper are filled with."""
    with desk.library.reading() as reader:
        things = {
            "reference": reader.all(Consignment)[0].reference,
            "bookcases": list_bookcases(reader)[0].number,
            "boxes": list_boxes(reader)[0].number,
        }
    return {option.name: text for option in paper.options if (text := {**NEEDED, **things}.get(option.name))}


def test_the_page_offers_every_paper_by_group(station: Station) -> None:
    text = station.get("/papers").text
    at = [text.index(f'href="/papers?paper={paper.name}#chosen"') for paper in PAPERS]
    assert at == sorted(at)
    for paper in PAPERS:
        assert text.index(f"<h2>{paper.group.value}</h2>") < text.index(f"<h3>{paper.title}</h3>")


def test_a_link_to_a_paper_leads_to_it_and_not_to_the_list_above_it(desk: Running, station: Station) -> None:
    with desk.library.reading() as reader:
        reference = reader.all(Consignment)[0].reference
        case = list_bookcases(reader)[0].number
        shelf = shelves_in_order(reader)[0].number
    regime = {option.name: NEEDED.get(option.name, "") for option in find_paper("periods").options}
    claimed = urlencode({name: text for name, text in {**regime, "reference": reference}.items() if text})
    pages = (
        "/boxes/1", f"/shelves/{shelf}", f"/bookcases/{case}", "/steps/total?currency=EUR",
        f"/steps/reconcile?{urlencode({'reference': reference})}", f"/steps/claim?{claimed}",
    )  # fmt: skip
    for path in pages:
        links = re.findall(r'href="(/papers\?[^"]*)"', station.get(path).text)
        assert links, path
        assert [link for link in links if not link.endswith("#chosen")] == [], path
    assert 'id="chosen"' in station.get("/papers?paper=packing-list").text


@pytest.mark.slow
def test_a_paper_is_in_view_and_has_the_focus_where_a_link_opens_it_in_place(desk: Running, chromium: Browser) -> None:
    with visit(chromium, desk.link) as page:
        page.goto(f"{desk.base}/boxes/1")
        page.evaluate("window.stays = true")
        page.get_by_role("link", name="Its packing list").click()
        chosen_paper = page.locator("#chosen")
        expect(chosen_paper).to_be_focused()
        expect(chosen_paper).to_be_in_viewport()
        assert page.evaluate("window.stays"), "it was opened in place"
        page.locator("a[href='/papers?paper=insurance#chosen']").click()
        expect(chosen_paper).to_have_text(find_paper("insurance").title)
        expect(chosen_paper).to_be_focused()
        page.go_back()
        expect(chosen_paper).to_have_text(find_paper("packing-list").title)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_every_paper_has_its_options_and_formats(desk: Running, station: Station, paper: Paper[Any]) -> None:
    bare = station.get(f"/papers?paper={paper.name}").text
    assert [option.name for option in paper.options if f'name="{option.name}"' not in bare] == []
    filled = station.get(f"/papers?{urlencode({'paper': paper.name, **chosen(desk, paper)})}").text
    assert [form for form in paper.formats if f'href="/papers/{paper.name}.{form}?' not in filled] == []
    # The library has one consignment, which need not be chosen.
    chosen_for_all = (Suggestion.TEMPLATES, Suggestion.CONSIGNMENTS)
    needed = [option.label for option in paper.options if option.required and option.suggests not in chosen_for_all]
    assert ("<iframe" in bare) is not (bool(needed) or "Not made." in bare)
    assert ("Then press ‘Show it with these’" in bare) is bool(needed)
    if needed:
        assert f"Fill in: {html.escape('; '.join(needed))}. Then press" in bare


def test_a_drawing_is_offered_of_one_bookcase_only(desk: Running, station: Station) -> None:
    with desk.library.reading() as reader:
        cases = [case.number for case in list_bookcases(reader)]
    assert len(cases) > 1
    several, one = "/papers?paper=bookcases", f"/papers?paper=bookcases&bookcases={cases[0]}"
    assert "bookcases.svg" not in station.get(several).text
    assert "choose one of them above" in station.get(several).text
    (address,) = re.findall(r'href="(/papers/bookcases\.svg[^"]*)"', station.get(one).text)
    assert station.get(html.unescape(address)).headers["content-type"] == "image/svg+xml"


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_every_paper_comes_in_every_format_or_says_why_not(desk: Running, station: Station, paper: Paper[Any]) -> None:
    before = content(desk.library.place)
    for form in paper.formats:
        answer = station.get(f"/papers/{paper.name}.{form}?{urlencode(chosen(desk, paper))}")
        if answer.status_code == 409:
            assert paper.name in ("notice", "condition", "high-value")  # nothing is missing, reported or valued yet
            continue
        media_type, begins = KINDS[form]
        assert (answer.status_code, answer.headers["content-type"]) == (200, media_type)
        assert answer.content.startswith(begins)
        assert f'filename="{paper.name}.{form}"' in answer.headers["content-disposition"]
    assert content(desk.library.place) == before


def test_what_is_told_beside_a_paper_stands_on_its_page(desk: Running, station: Station) -> None:
    count = 0
    for paper in PAPERS:
        if paper.parts:
            continue  # its page tells of the part that it shows
        asked = {**chosen(desk, paper), **({"show_why": "yes"} if paper.name == "high-value" else {})}
        options = with_typed(usual_options(desk.library, paper), paper.options, asked)
        page = html.unescape(station.get(f"/papers?{urlencode({'paper': paper.name, **asked})}").text)
        with read_at(ReadAt.DESK):
            try:
                told = render(desk.library, paper, options, paper.formats[0], on=clock.today()).notices
            except IntakeError as error:
                told = (error.why,)
                page = page.replace(error.why, f"</span> {error.why}</p>")
        assert [notice for notice in told if f"</span> {notice}</p>" not in page] == [], paper.name
        count += len(told)
    assert count


def test_a_page_and_its_frame_are_of_one_making_until_the_library_is_changed(
    desk: Running, station: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []

    def counting(library: Library, paper: Paper[Any], *rest: Any, **on: Any) -> RenderedPaper:
        made.append(paper.name)
        return render(library, paper, *rest, **on)

    monkeypatch.setattr(made_papers, "render", counting)
    since = 0.0
    monkeypatch.setattr(desk_startup, "steady_s", lambda: since)

    def looked_at() -> bytes:
        page = station.get("/papers?paper=insurance").text
        frame = re.search(r'<iframe[^>]* src="([^"]+)"', page)
        assert frame is not None
        return station.get(html.unescape(frame[1])).content

    first = looked_at()
    assert (looked_at(), made) == (first, ["insurance"])
    with desk.library.reading() as records:
        edition = records.all(Edition)[0]
    renamed = replace(edition, title="Sleet and Thaw")
    desk.library.apply(Action(ActionKind.EDIT_EDITION, "a title", "test"), [Change(edition, renamed)])
    assert looked_at() != first
    assert len(made) == 2
    since = made_papers.KEPT_S
    looked_at()
    assert len(made) == 3, "a library is compared with its ledger again after a while"
    desk.library.apply(Action(ActionKind.EDIT_EDITION, "as before", "test"), [Change(renamed, edition)])


def test_a_choice_is_called_by_words_where_a_form_shows_it(station: Station) -> None:
    """The words are those of every choice of their option, and the form sends what the command line takes."""
    for option in {option.name: option for paper in PAPERS for option in paper.options}.values():
        assert set(option.choice_words) in (set(), set(option.choices)), option.name
    for path in ("/papers?paper=periods", "/steps/claim"):
        assert '<option value="cmr">CMR, 1956: by road between countries</option>' in station.get(path).text
