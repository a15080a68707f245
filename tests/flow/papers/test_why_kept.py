"""Why a copy is kept: left out of every paper that others get, and on each that can tell it where that is asked for."""

import csv
import io
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import openpyxl
import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.papers import contents_of_boxes
from intake.flow.papers import registry
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import RenderedPaper, render
from intake.flow.papers.why_kept import COLUMN, NONE
from intake.model.changes import Action, ActionKind, Change
from tests.counting import count_statements
from tests.flow.papers.test_registry import TODAY, moved, moved_made, options

__all__ = ["moved", "moved_made"]
WHY = "Read aloud on the crossing, by Perpetua"
TELLING = [(paper, form) for paper in PAPERS if paper.copies_on for form in paper.formats]
OWN_PAPERS = {registry.COLLECTION.name}
"""Which tell it without being asked."""


def text_of(rendered: RenderedPaper, form: PaperFormat) -> str:
    """Return what a paper says, with single blanks, row by row where it is a table."""
    if form is PaperFormat.PDF:
        with pypdfium2.PdfDocument(rendered.data) as document:
            return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in document).split())
    if form is PaperFormat.CSV:
        rows: Iterable[Iterable[object]] = csv.reader(io.StringIO(rendered.data.decode("utf-8-sig")))
    else:
        rows = openpyxl.load_workbook(io.BytesIO(rendered.data)).worksheets[0].iter_rows(values_only=True)
    return "\n".join("|".join(" ".join(str(cell or "").split()) for cell in row) for row in rows)


@pytest.fixture
def explained(moved: Library) -> tuple[Library, str]:
    """Return a library in which one copy that travelled has its reason, and the number of that copy."""
    with moved.reading() as reader:
        copy, _ = contents_of_boxes(reader, ["B1-56"])["B1-56"][0]
    moved.apply(Action(ActionKind.EDIT_COPY, copy.accession), (Change(copy, replace(copy, why=WHY)),))
    return moved, copy.accession


def test_the_option_is_declared_once_for_each_paper_that_can_tell() -> None:
    offering = {paper.name for paper in PAPERS if any(option.name == "show_why" for option in paper.options)}
    assert offering == {paper.name for paper, _ in TELLING}
    assert {"inventory", "insurance", "high-value", "move", "packing-list", "copy", "condition"} == offering


@pytest.mark.parametrize(("paper", "form"), TELLING, ids=[f"{paper.name}.{form}" for paper, form in TELLING])
def test_it_is_told_where_it_is_asked_for_and_nowhere_else(
    explained: tuple[Library, str], paper: Paper[Any], form: PaperFormat
) -> None:
    library, number = explained
    chosen = replace(options(paper), no_photographs=True)
    if paper is registry.COPY:
        chosen = replace(chosen, copy=number)
    assert WHY not in text_of(render(library, paper, chosen, form, on=TODAY), form)
    told = render(library, paper, replace(chosen, show_why=True), form, on=TODAY)
    text = text_of(told, form)
    if WHY not in text:  # the reported copy, or the dear ones, may be others: then that is said
        assert NONE in told.notices
        assert paper.name in ("high-value", "condition")
    elif form is PaperFormat.PDF:
        assert "Why copies are kept" in text
    else:
        heading, row = (next(line for line in text.split("\n") if word in line) for word in (COLUMN, WHY))
        assert row.split("|").index(WHY) == heading.split("|").index(COLUMN)
        assert number in row.split("|")


def test_papers_of_others_never_tell_it(explained: tuple[Library, str]) -> None:
    library, _ = explained
    for paper in PAPERS:
        if paper.name not in OWN_PAPERS and paper.copies_on is None:
            chosen = replace(options(paper), no_photographs=True)
            assert WHY not in text_of(render(library, paper, chosen, PaperFormat.PDF, on=TODAY), PaperFormat.PDF)


def test_it_asks_one_statement_more(moved: Library) -> None:
    chosen = options(registry.INVENTORY)
    with count_statements(moved) as before:
        render(moved, registry.INVENTORY, chosen, PaperFormat.CSV, on=TODAY)
    with count_statements(moved) as after:
        render(moved, registry.INVENTORY, replace(chosen, show_why=True), PaperFormat.CSV, on=TODAY)
    assert after.statements == before.statements + 1
