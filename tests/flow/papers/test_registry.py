"""Every paper of the registry is made in each of its formats, in few statements whatever the size of the library."""

import io
import zipfile
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pypdfium2
import pytest

from intake.edges.store.library import Library, open_library
from intake.edges.store.tables import TABLES
from intake.errors import RefusedError, UsageError
from intake.flow.condition.condition_report import Inspection, report_condition
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle
from intake.flow.papers import label_registry, registry
from intake.flow.papers.options import Grouping, PaperOptions, missing, with_typed
from intake.flow.papers.paper import Paper, PaperFormat, PaperGroup
from intake.flow.papers.registry import PAPERS, find_paper
from intake.flow.papers.render import format_of, render
from intake.flow.shelves.find_room import put
from intake.flow.values.exchange_rates import enter_rate
from intake.model.valuations import Basis
from tests.counting import count_statements
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library

TODAY = date(2026, 3, 31)
MADE = [(paper, form) for paper in PAPERS for form in paper.formats]
MOST_STATEMENTS = 23
"""For any paper, with what has to be asked to understand the numbers that a person typed."""
MOST_STATEMENTS_OF_A_LEDGER = 8
"""Beside two of each table of records, for papers that others act on: is the library as its ledger left it?"""


@pytest.fixture(scope="module")
def moved_made(library_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("moved")
    with copy_library(library_made, folder / "library") as library:
        enter_rate(library, "EUR", "USD", Decimal("1.25"), on=TODAY, station="test", today=TODAY)
        import_text(library, folder, ListKind.CONSIGNMENT, "reference,carrier,boxes\nR1,Invented Haulage,all\n")
        seen = box_lifecycle.ArrivalReport(delivered=TODAY)
        for box in ("1", "2"):
            box_lifecycle.close_box(library, box, station="test")
            box_lifecycle.check_in(library, box, note="wet", seen=seen, today=TODAY, station="test")
        box_lifecycle.finish(library, "2", why=lambda _missing: "not in it", station="test")
        import_text(library, folder, ListKind.COPIES, "box,key\n,G2\n3,P6\n")
        put(library, "A6", station="test", now=NOW)
        report_condition(library, "1", Inspection(parts={"boards": "rubbed"}), station="test", now=NOW)
    return folder / "library"


@pytest.fixture
def moved(moved_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Two boxes that arrived in a consignment, one with a copy missing; an open box; one copy shelved, one reported."""
    with copy_library(moved_made, tmp_path / "library") as opened:
        yield opened


def options(paper: Paper[Any]) -> PaperOptions:
    """Return what the paper cannot be made without, and the usual for the rest."""
    needed = {"reference": "R1", "copy": "1", "limit": Decimal(100), "regime": "hague-visby", "rate": Decimal("1.2"),
              "relief": "eu"}  # fmt: skip
    names = {option.name for option in paper.options}
    one: dict[str, Any] = {"bookcases": ("A",)} if paper is registry.BOOKCASES else {}
    chosen: dict[str, Any] = {name: value for name, value in needed.items() if name in names}
    return replace(paper.defaults, seconds=0.2, shelved=True, **chosen, **one)


def test_each_paper_is_named_once_and_asks_for_options_that_there_are() -> None:
    names = [paper.name for paper in PAPERS]
    assert len(set(names)) == len(names)
    known = {field.name for field in fields(PaperOptions)}
    assert {option.name for paper in PAPERS for option in paper.options} <= known
    assert [paper.group for paper in PAPERS] == sorted((paper.group for paper in PAPERS), key=list(PaperGroup).index)
    assert all(find_paper(name).name == name for name in names)


@pytest.mark.parametrize(("paper", "form"), MADE, ids=[f"{paper.name}.{form}" for paper, form in MADE])
def test_every_paper_is_made_in_each_of_its_formats(moved: Library, paper: Paper[Any], form: PaperFormat) -> None:
    data = render(moved, paper, options(paper), form, on=TODAY).data
    if form is PaperFormat.PDF:
        with pypdfium2.PdfDocument(data) as document:
            assert document[0].get_textpage().count_chars() > 5
    elif form is PaperFormat.XLSX:
        assert openpyxl.load_workbook(io.BytesIO(data)).worksheets[0].max_row > 1
    elif form is PaperFormat.CSV:
        assert data.count(b"\r\n") > 1
    elif form is PaperFormat.ZIP:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert "index.html" in archive.namelist()
    else:
        assert ElementTree.fromstring(data).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 - our own text


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_no_paper_asks_more_of_a_larger_library(moved: Library, tmp_path: Path, paper: Paper[Any]) -> None:
    chosen = options(paper)
    with count_statements(moved) as before:
        render(moved, paper, chosen, PaperFormat.PDF, on=TODAY)
    rows = "".join(f"{4 + nth // 3},Study,G1,10,EUR,market,2026-01-15\n" for nth in range(30))
    import_text(moved, tmp_path, ListKind.COPIES, f"box,room,key,value,currency,basis,valued_on\n{rows}")
    with count_statements(moved) as after:
        render(moved, paper, chosen, PaperFormat.PDF, on=TODAY)
    assert after.statements == before.statements
    assert after.writing == 0
    compared = 2 * len(TABLES) + MOST_STATEMENTS_OF_A_LEDGER if paper.is_acted_on else 0
    assert before.statements <= MOST_STATEMENTS + compared


@pytest.mark.parametrize("paper", [paper for paper in PAPERS if paper.is_acted_on], ids=lambda paper: paper.name)
def test_no_paper_that_others_act_on_is_made_of_nothing(tmp_path: Path, paper: Paper[Any]) -> None:
    with open_library(tmp_path / "library", create=True) as library:
        import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference,carrier\nR1,Invented Haulage\n")
        with pytest.raises(RefusedError):
            render(library, paper, options(paper), PaperFormat.PDF, on=TODAY)


def test_a_name_whose_suffix_no_format_has_is_refused() -> None:
    assert format_of(registry.INVENTORY, Path("a.b/List.CSV")) is PaperFormat.CSV
    assert format_of(registry.BOOKCASES, Path("case.svg")) is PaperFormat.SVG
    with pytest.raises(UsageError) as caught:
        format_of(registry.INVENTORY, Path("list.doc"))
    assert caught.value.remedy == "end its name in .pdf, .xlsx or .csv"
    for name in ("labels", "labels.csv", "labels.svg"):
        with pytest.raises(UsageError) as caught:
            format_of(label_registry.SHELF_LABELS, Path(name))
        assert caught.value.remedy == "end its name in .pdf"


def test_what_a_paper_cannot_be_made_without_is_named(moved: Library) -> None:
    for paper in PAPERS:
        names = [option.name for option in missing(paper.options, paper.defaults)]
        assert names == [option.name for option in paper.options if option.required]
        if names:
            with pytest.raises(UsageError):
                render(moved, paper, paper.defaults, paper.formats[0], on=TODAY)


def test_only_a_single_drawing_is_an_svg(moved: Library) -> None:
    with pytest.raises(RefusedError):
        render(moved, registry.BOOKCASES, PaperOptions(), PaperFormat.SVG, on=TODAY)


def test_what_is_typed_into_a_form_is_read() -> None:
    texts = {"currency": "usd", "rates_on": "2026-03-31", "basis": "market", "grouping": "class", "insured": "500",
             "no_photographs": "yes", "owner": "Ada Thorn"}  # fmt: skip
    read = with_typed(PaperOptions(), registry.INSURANCE.options, texts)
    assert read == PaperOptions(
        currency="USD", rates_on=TODAY, basis=Basis.MARKET, grouping=Grouping.CLASS, insured=Decimal(500),
        no_photographs=True, owner="Ada Thorn",
    )  # fmt: skip
    assert with_typed(PaperOptions(), label_registry.COPY_FLAGS.options, {"copies": "A1, A2 A3"}).copies == (
        "A1",
        "A2",
        "A3",
    )


@pytest.mark.parametrize(
    ("paper", "text"),
    [
        (registry.INSURANCE, {"currency": "QQQ"}),
        (registry.INSURANCE, {"rates_on": "31.3.2026"}),
        (registry.INSURANCE, {"insured": "-1"}),
        (registry.INSURANCE, {"basis": "guess"}),
        (registry.INSURANCE, {"size": "a3"}),
        (label_registry.SHELF_LABELS, {"start": "0"}),
        (label_registry.FACE_LABELS, {"stacking_g": "60"}),
        (registry.PACKING_PLAN, {"seconds": "4000"}),
    ],
)
def test_what_cannot_be_read_is_refused(paper: Paper[Any], text: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        with_typed(paper.defaults, paper.options, text)


def test_a_label_that_the_sheet_does_not_have_is_refused(moved: Library) -> None:
    chosen = replace(label_registry.SHELF_LABELS.defaults, start=10**6)
    with pytest.raises(UsageError):
        render(moved, label_registry.SHELF_LABELS, chosen, PaperFormat.PDF, on=TODAY)
