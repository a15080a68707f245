"""Schedules of a library with values in five currencies, a rate that is missing and a lost volume, worked by hand.

Rates of the day, for EUR 1: USD 1.25, JPY 160, BHD 0.5; none of GBP. Worth in EUR:

    at risk   set 1 without its lost volume 2   USD 300       240.00  market
              charts                            JPY 9001       56.26  market       9001 / 160 = 56.25625
              gulls                             USD 900       720.00  agreed
              moths                             BHD 10.125     20.25  replacement
              together                                      1,036.51
              mosses                            GBP 50       not converted
              stones                            no value
    lost      volume 2: 500 - 300 =             USD 200       160.00  market
              snails                            EUR 40         40.00  purchase
              together                                        200.00

Volumes 1 and 2 have values of their own, EUR 120 and 130, which are in no sum.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.papers import registry
from intake.flow.papers.options import Grouping, PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.render import RenderedPaper, render
from intake.flow.undo import undo
from intake.flow.values import value_copies, value_sets
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.figures import Figure
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState
from intake.model.valuations import Basis
from tests.flow.conftest import import_text
from tests.made_library import copy_library, new_library

TODAY = date(2026, 3, 31)
CATALOG = """key,title,set,volume,subject
F1,Ferns of the Outer Isles,Ferns,1,Plants
F2,Ferns of the Inner Isles,Ferns,2,Plants
F3,Ferns of the Far Isles,Ferns,3,Plants
G1,A Guide to Gulls,,,Birds
C1,Old Charts,,,Atlases
M1,Moths at Dusk,,,Insects
M2,Mosses,,,Plants
S1,Snails of One Garden,,,Molluscs
S2,Stones,,,Rocks
"""
COPIES = """box,key,value,currency,basis,valued_on
1,F1,120,EUR,market,2026-01-15
1,F2,130,EUR,market,2026-01-15
1,F3,,,,
1,G1,900,USD,agreed,2026-01-15
1,C1,9001,JPY,market,2026-01-15
2,M1,10.125,BHD,replacement,2026-01-15
2,M2,50,GBP,replacement,2026-01-15
2,S1,40,EUR,purchase,2026-01-15
2,S2,,,,
"""
OPTIONS = PaperOptions(currency="EUR", insured=Decimal(500), single_limit=Decimal(200), limit=Decimal(100))


@pytest.fixture(scope="module")
def library_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library")
    with new_library(folder / "library") as opened:
        import_text(opened, folder, ListKind.EDITIONS, CATALOG)
        import_text(opened, folder, ListKind.COPIES, COPIES)
        for currency, per_base in (("USD", "1.25"), ("JPY", "160"), ("BHD", "0.5")):
            enter_rate(opened, "EUR", currency, Decimal(per_base), on=TODAY, station="test", today=TODAY)
        for amount, missing in (("500", ""), ("300", "2")):
            figure = Figure(amount=Decimal(amount), currency="USD", on=TODAY, basis=Basis.MARKET)
            value_sets.value_set(opened, 1, figure, lacking=missing, station="test", today=TODAY)
        with opened.reading() as records:
            pairs = [copy for copy, edition in all_copies(records) if edition.key in ("F2", "S1")]
        lost = tuple(Change(copy, replace(copy, state=CopyState.MISSING)) for copy in pairs)
        opened.apply(Action(ActionKind.FINISH_BOX, "1", "test"), lost)
    return folder / "library"


@pytest.fixture
def library(library_made: Path, tmp_path: Path) -> Iterator[Library]:
    with copy_library(library_made, tmp_path / "library") as opened:
        yield opened


def made(library: Library, form: PaperFormat, paper: Paper = registry.INSURANCE, **chosen: object) -> RenderedPaper:  # type: ignore[type-arg] # of any content
    return render(library, paper, replace(OPTIONS, **chosen), form, on=TODAY)  # type: ignore[arg-type] # by name


def text_of(library: Library, paper: Paper = registry.INSURANCE, **chosen: object) -> str:  # type: ignore[type-arg] # as above
    with pypdfium2.PdfDocument(made(library, PaperFormat.PDF, paper, **chosen).data) as document:
        return " ".join(" ".join(str(page.get_textpage().get_text_range()) for page in document).split())


def test_the_sums_of_all_commands_and_papers_by_hand(library: Library) -> None:
    with library.reading() as records:
        added = value_copies.worth(records, "EUR", on=TODAY)
    assert {(one.currency, one.basis, one.amount, one.copies) for one in added.at_risk.subtotals} == {
        ("EUR", Basis.MARKET, Decimal("296.26"), 3),
        ("EUR", Basis.AGREED, Decimal("720.00"), 1),
        ("EUR", Basis.REPLACEMENT, Decimal("20.25"), 1),
        ("GBP", Basis.REPLACEMENT, Decimal(50), 1),
    }
    assert (added.at_risk.amount, len(added.at_risk.unvalued)) == (Decimal("1036.51"), 1)
    assert {(one.currency, one.basis, one.amount, one.copies) for one in added.lost.subtotals} == {
        ("EUR", Basis.MARKET, Decimal("160.00"), 1),
        ("EUR", Basis.PURCHASE, Decimal("40.00"), 1),
    }


def test_the_insurance_schedule_says_what_is_at_risk_lost_and_not_converted(library: Library) -> None:
    said = text_of(library)
    for wanted in (
        "At risk: agreed value 1 EUR 720.00",
        "At risk: market value, 1 set of 2 volumes counted once 3 EUR 296.26",
        "At risk: replacement value 1 EUR 20.25",
        "At risk: together 5 EUR 1,036.51",
        "At risk: replacement value, not converted 1 GBP 50.00",
        "At risk: without a value 1 no value",
        "Lost: market value, with what 1 set lost 1 EUR 160.00",
        "Lost: purchase value 1 EUR 40.00",
        "Lost: together 2 EUR 200.00",
        "Missing rate: EUR in GBP on 2026-03-31 (none is recorded).",
        "USD 500.00 before, USD 300.00 after",
        "BHD 10.125, replacement",
        "JPY 9,001, market",
        "It adds values on several bases",
        "it leaves out GBP 50.00 not converted, 1 copy without a value",
    ):
        assert wanted in said, wanted


def test_average_is_of_what_is_at_risk(library: Library) -> None:
    # A tenth of 1,036.51 is 103.65; 103.65 x 500 / 1,036.51 = 49.9995…: 50.00.
    assert "103.65 × 500.00 ÷ 1,036.51 = EUR 50.00" in text_of(library)


def test_the_workbook_sums_by_currency_basis_and_what_is_lost(library: Library) -> None:
    data = made(library, PaperFormat.XLSX).data
    sheet = openpyxl.load_workbook(io.BytesIO(data), data_only=True).worksheets[0]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    feet = {(row[9], row[10], row[11]): row[8] for row in rows if row[0] == "Total"}
    assert feet == {
        ("EUR", "agreed", "at risk"): 720,
        ("EUR", "market", "at risk"): pytest.approx(296.26),
        ("EUR", "replacement", "at risk"): 20.25,
        ("GBP", "replacement", "at risk"): 50,
        ("EUR", "market", "lost"): 160,
        ("EUR", "purchase", "lost"): 40,
    }


def test_the_csv_file_has_the_decimals_of_each_currency(library: Library) -> None:
    text = made(library, PaperFormat.CSV, registry.INVENTORY).data.decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert {row["Currency"]: row["Amount"] for row in rows if row["Currency"] in ("JPY", "BHD", "GBP")} == {
        "JPY": "9001", "BHD": "10.125", "GBP": "50.00",
    }  # fmt: skip
    sets = [(row["Amount"], row["Currency"], row["Counts as"]) for row in rows if row["Copy"] == "set 1"]
    assert sets == [("300.00", "USD", "at risk"), ("200.00", "USD", "lost")]
    inside = [row["Note"] for row in rows if row["Note"].startswith("counted in set 1")]
    assert len(inside) == 3
    assert "by itself EUR 130.00" in inside[1]


def test_the_inventory_keeps_lost_copies_and_sets_apart(library: Library) -> None:
    said = text_of(library, registry.INVENTORY)
    for wanted in (
        "JPY 9,001, market value, 1 copy",
        "USD 300.00, market value, 2 copies, 1 set of 2 volumes counted once",
        "Lost, and in no total above: USD 200.00, market value, 1 copy, with what 1 set lost",
        "Lost, and in no total above: EUR 40.00, purchase value, 1 copy",
    ):
        assert wanted in said, wanted


def test_lost_copies_have_a_group_of_their_own_by_room_and_by_class(library: Library) -> None:
    for grouping in Grouping:
        said = text_of(library, grouping=grouping)
        assert "Lost: not found since the move, and not at risk: 2 copies" in said
        assert "Lost: not found since the move, and not at risk: EUR 200.00 (market EUR 160.00" in said


def test_the_high_value_list_has_sets_and_what_is_lost_apart(library: Library) -> None:
    # Above EUR 100: the gulls, the set; lost, what was taken from it. The fern volumes are worth 120 and 130 singly.
    said = text_of(library, registry.HIGH_VALUE)
    assert "Worth more than EUR 100.00 each: EUR 960.00 (agreed EUR 720.00, market EUR 240.00)" in said
    assert "were worth more than EUR 100.00 each: EUR 160.00 (market)" in said
    assert "were worth more than EUR 100.00 each: 1 copy, and what 1 set lost" in said
    assert "Worth more than EUR 100.00 each: 2 copies, 1 set that counts once" in said
    assert "3 of 9 copies, 2 of these as volumes of a set, whose value counts instead" in said
    with pytest.raises(RefusedError) as caught:
        made(library, PaperFormat.PDF, registry.HIGH_VALUE, limit=Decimal(5000))
    assert "EUR in GBP" in caught.value.why


def test_where_a_set_does_not_count_as_a_whole_the_paper_says_why(library: Library) -> None:
    agreed = text_of(library, basis=Basis.AGREED)
    stated = "Set 1, “Ferns”: its value as a complete set (USD 500.00, market, 2026-03-31) is in no total, as"
    assert f"{stated} it is on another basis" in agreed
    undo(library, station="test")  # both copies are there again
    undo(library, station="test")  # the value without volume 2
    with library.reading() as records:
        (copy,) = [copy for copy, edition in all_copies(records) if edition.key == "F3"]
    library.apply(Action(ActionKind.FINISH_BOX, "1", "test"), (Change(copy, replace(copy, state=CopyState.MISSING)),))
    said = text_of(library)
    assert f"{stated} it lacks volume 3 here" in said
    assert "At risk: market value 3 EUR 306.26" in said  # 120 + 130 + 56.26


def test_whoever_makes_a_paper_is_told_how_to_add_a_missing_rate(library: Library) -> None:
    for form in (PaperFormat.PDF, PaperFormat.XLSX, PaperFormat.CSV):
        (notice,) = made(library, form).notices
        assert "intake rates enter EUR GBP RATE --on 2026-03-31" in notice
    enter_rate(library, "EUR", "GBP", Decimal("0.8"), on=TODAY, station="test", today=TODAY)
    assert made(library, PaperFormat.PDF).notices == ()
    assert "not converted" not in text_of(library)
    assert "At risk: replacement value 2 EUR 82.75" in text_of(library)  # 20.25 + 50 / 0.8


@pytest.mark.parametrize(
    "chosen",
    [
        {"insured": Decimal(-5)},
        {"insured": Decimal("5.005")},
        {"single_limit": Decimal(-1)},
        {"rates_on": date(2026, 4, 1)},
        {"currency": "JPY", "insured": Decimal("0.5")},
    ],
)
def test_impossible_amounts_and_days_are_refused(library: Library, chosen: dict[str, object]) -> None:
    with pytest.raises(UsageError):
        render(library, registry.INSURANCE, replace(OPTIONS, **chosen), PaperFormat.PDF, on=TODAY)  # type: ignore[arg-type] # by name
