"""The page of papers offers every paper of the registry with its options, each in every format."""

import html
from typing import Any
from urllib.parse import urlencode

import pytest

from intake.edges import clock
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.papers import list_bookcases
from intake.errors import IntakeError
from intake.flow.papers.kept_options import usual_options
from intake.flow.papers.options import Suggestion, with_typed
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.paper_notices import find_notices
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import render
from intake.model.boxes import Consignment
from intake.units.advice import ReadAt, read_at
from tests.desk.conftest import Running, Station
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


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_every_paper_has_its_options_and_formats(desk: Running, station: Station, paper: Paper[Any]) -> None:
    bare = station.get(f"/papers?paper={paper.name}").text
    assert [option.name for option in paper.options if f'name="{option.name}"' not in bare] == []
    filled = station.get(f"/papers?{urlencode({'paper': paper.name, **chosen(desk, paper)})}").text
    assert [form for form in paper.formats if f'href="/papers/{paper.name}.{form}?' not in filled] == []
    is_needed = any(option.required and option.suggests is not Suggestion.TEMPLATES for option in paper.options)
    assert ("<iframe" in bare) is not is_needed


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
                told = find_notices(desk.library, paper, options, paper.formats[0], on=clock.today())
            except IntakeError as error:
                told = (error.why,)
                page = page.replace(error.why, f"</span> {error.why}</p>")
            made = (
                render(desk.library, paper, options, paper.formats[0], on=clock.today())
                if told and "Not made." not in page
                else None
            )
        assert [notice for notice in told if f"</span> {notice}</p>" not in page] == [], paper.name
        assert made is None or made.notices == told
        count += len(told)
    assert count
