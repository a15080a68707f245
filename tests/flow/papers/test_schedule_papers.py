"""The insurance schedule and the high-value list: what is on them, by hand, on the small invented library."""

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from PIL import Image

from intake.edges.store.library import Library
from intake.errors import RefusedError, UsageError
from intake.flow.condition.photograph_copy import photograph_copy
from intake.flow.lists.import_list import ListKind
from intake.flow.papers.options import Grouping, PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperPages, PaperSource
from intake.flow.papers.schedule_papers import (
    ScheduleContent,
    gather_high_value,
    gather_insurance,
    lay_out_high_value,
    lay_out_insurance,
    tabulate_schedule,
)
from intake.flow.values.exchange_rates import enter_rate
from intake.model.currencies import Money
from intake.model.pages import PlacedPicture, Text
from intake.model.valuations import Basis
from intake.valuing import proof
from tests.flow.conftest import NOW, import_text

TODAY = date(2026, 3, 31)
EURO = PaperOptions(currency="EUR", owner="Ada Thorn", limit=Decimal(125))
Gather = Callable[[PaperSource, PaperOptions], ScheduleContent]


@pytest.fixture
def priced(library: Library) -> Library:
    """EUR 120, 4.50 and 130, USD 900 that are EUR 720, and a copy without a value: EUR 974.50."""
    enter_rate(library, "EUR", "USD", Decimal("1.25"), on=TODAY, station="test", today=TODAY)
    return library


def content(
    library: Library,
    gather: Gather = gather_insurance,
    options: PaperOptions = EURO,
    form: PaperFormat = PaperFormat.PDF,
) -> ScheduleContent:
    with library.reading() as records:
        return gather(PaperSource(library, records, TODAY, form), options)


def words(pages: PaperPages) -> list[str]:
    return [mark.text for page in pages.pages for mark in page.marks if isinstance(mark, Text)]


def said(pages: PaperPages) -> str:
    return " ".join(words(pages))


def numbers(listed: ScheduleContent) -> list[str]:
    return [one.line.number.split("-")[0] for one in listed.listed]


@pytest.mark.parametrize(
    ("limit", "listed"),
    [
        ("4.49", ["A4", "A5", "A1", "A3"]),
        ("4.50", ["A4", "A5", "A1"]),
        ("125", ["A4", "A5"]),
        ("0", ["A4", "A5", "A1", "A3"]),
    ],
)
def test_on_the_high_value_list_is_what_is_worth_more_the_dearest_first(
    priced: Library, limit: str, listed: list[str]
) -> None:
    found = content(priced, gather_high_value, replace(EURO, limit=Decimal(limit)))
    assert numbers(found) == listed
    assert len(found.gathered.listed) == 5
    proven = proof.parse(found.proof)
    assert proven is not None
    assert (proven.copies, proven.unvalued, proven.scope) == (len(listed), 0, f"over EUR {limit} at 2026-03-31")


def test_a_high_value_list_needs_a_limit_and_something_above_it(priced: Library) -> None:
    for limit in (None, Decimal("-0.01")):
        with pytest.raises(UsageError):
            content(priced, gather_high_value, replace(EURO, limit=limit))
    with pytest.raises(RefusedError):
        content(priced, gather_high_value, replace(EURO, limit=Decimal(720)))


def test_a_schedule_lists_every_copy_and_proves_all_of_them(priced: Library) -> None:
    found = content(priced)
    assert numbers(found) == ["A1", "A2", "A3", "A4", "A5"]
    proven = proof.parse(found.proof)
    assert proven is not None
    assert (proven.scope, proven.copies, proven.unvalued, proven.basis) == ("all", 5, 1, "")
    market = proof.parse(content(priced, options=replace(EURO, basis=Basis.MARKET)).proof)
    assert market is not None
    assert (market.copies, market.unvalued, market.basis) == (5, 3, "market")


def test_the_day_of_the_rates_is_chosen_or_today(priced: Library) -> None:
    enter_rate(priced, "EUR", "USD", Decimal(2), on=date(2026, 1, 1), station="test", today=TODAY)
    amounts = {
        on: content(priced, options=replace(EURO, rates_on=on)).gathered.added.at_risk.amount
        for on in (None, date(2026, 1, 1))
    }
    assert amounts == {None: Decimal("974.50"), date(2026, 1, 1): Decimal("704.50")}


def test_a_table_has_a_row_for_each_copy_and_no_zero_for_an_unknown_value(priced: Library) -> None:
    table = tabulate_schedule(content(priced, form=PaperFormat.CSV), EURO)
    rows = {str(row[0]).split("-")[0]: row for row in table.rows}
    value, currency, valued_on = (table.header.index(name) for name in ("Value", "Currency", "Valued on"))
    assert {copy: (row[value], row[currency], row[valued_on]) for copy, row in rows.items()} == {
        "A1": (Money(Decimal("120.00"), "EUR"), "EUR", date(2026, 1, 15)), "A2": (None, "", None),
        "A3": (Money(Decimal("4.50"), "EUR"), "EUR", date(2026, 1, 15)),
        "A4": (Money(Decimal("720.00"), "EUR"), "EUR", date(2025, 11, 30)),
        "A5": (Money(Decimal("130.00"), "EUR"), "EUR", date(2026, 1, 15)),
    }  # fmt: skip
    assert dict(table.totals) == {"Value": ("Currency", "Basis", "Counts as")}


def test_the_pages_have_the_total_the_single_articles_and_the_owner(priced: Library) -> None:
    pages = lay_out_insurance(content(priced), replace(EURO, single_limit=Decimal(125)))
    assert (pages.author, pages.proof) == ("Ada Thorn", content(priced).proof)
    text = said(pages)
    assert "EUR 974.50" in text
    assert "Together EUR 850.00" in text, "720 and 130 are listed by themselves"
    assert "Together" not in said(lay_out_insurance(content(priced), EURO))


def test_copies_are_grouped_by_room_or_by_class(priced: Library) -> None:
    by_room, by_class = (
        set(words(lay_out_insurance(content(priced), replace(EURO, grouping=grouping))))
        for grouping in (Grouping.ROOM, Grouping.CLASS)
    )
    assert {"In box B1-56", "In box B2-47"} <= by_room - by_class
    assert {"Birds", "Plants", "Periodicals", "Atlases"} <= by_class - by_room


def test_the_high_value_list_says_how_many_of_how_many(priced: Library) -> None:
    text = said(lay_out_high_value(content(priced, gather_high_value), EURO))
    assert "2 of 5 copies" in text
    assert "EUR 125.00" in text
    assert "EUR 850.00" in text


@pytest.mark.parametrize(
    ("insured", "figures"),
    [
        # A loss of a tenth, EUR 97.45, pays half of it where half of EUR 974.50 is insured (the condition of average).
        ("487.25", {"EUR 97.45", "EUR 48.73"}),
        ("974.50", {"EUR 974.50"}),
        ("2000", {"EUR 2,000.00"}),
    ],
)
def test_the_sum_insured_is_compared_with_the_value(priced: Library, insured: str, figures: set[str]) -> None:
    text = said(lay_out_insurance(content(priced), replace(EURO, insured=Decimal(insured))))
    assert all(figure in text for figure in figures), text
    assert ("underinsured" in text) is (insured == "487.25")
    assert ("condition of average" in text) is (insured == "487.25")


def test_without_a_sum_insured_or_without_a_value_nothing_is_compared(library: Library, tmp_path: Path) -> None:
    assert "insured" not in said(lay_out_insurance(content(library), EURO))
    pounds = replace(EURO, currency="GBP", insured=Decimal(500))
    assert "underinsured" not in said(lay_out_insurance(content(library, options=pounds), pounds))


def test_what_a_total_leaves_out_is_named(library: Library) -> None:
    """USD 900 have no rate to the euro; the gulls have no value and nothing like them has one."""
    text = said(lay_out_insurance(content(library), EURO))
    assert "A4-32" in text
    assert "rate" in text
    with_rates = said(lay_out_insurance(content(library, options=replace(EURO, currency="USD")), EURO))
    assert "A1-59, A3-41, A5-23" in with_rates


def test_more_copies_than_a_sentence_names_are_cut_and_marked(library: Library, tmp_path: Path) -> None:
    rows = "box,key,value,currency,basis,valued_on\n" + "3,G2,5,JPY,market,2026-01-15\n" * 13
    import_text(library, tmp_path, ListKind.COPIES, rows)
    text = said(lay_out_insurance(content(library), EURO))
    (sentence,) = [part for part in text.split(". ") if "Not converted into" in part]
    assert sentence.count(", A") == 11
    assert sentence.endswith(" and 2 more")  # thirteen, and the charts in dollars


def test_sets_with_gaps_doubles_and_volumes_in_boxes_are_told_on_pages_alone(priced: Library, tmp_path: Path) -> None:
    import_text(priced, tmp_path, ListKind.EDITIONS, "key,title,set,volume\nF4,Ferns of the Far Isles,Ferns,4\n")
    import_text(priced, tmp_path, ListKind.COPIES, "box,key\n3,F1\n")
    text = said(lay_out_insurance(content(priced), EURO))
    assert "volumes 3 and 4" in text
    assert "volume 1 more than once" in text
    assert "2 in B2-47" in text
    assert content(priced, form=PaperFormat.CSV).sets == ()
    assert len(content(priced).sets) == 1


def test_photographs_are_of_the_copies_listed_and_only_on_pages(priced: Library) -> None:
    for copy, colour in (("1", "red"), ("5", "blue"), ("1", "green")):
        out = io.BytesIO()
        Image.new("RGB", (40, 30), colour).save(out, "PNG")
        photograph_copy(priced, copy, out.getvalue(), station="test", now=NOW)
    assert [one.copy for one in content(priced).photographs] == ["A1-59", "A1-59", "A5-23"]
    assert "Ferns of the Outer Isles" in content(priced).photographs[0].caption
    assert [one.copy for one in content(priced, gather_high_value).photographs] == ["A5-23"]
    assert content(priced, options=replace(EURO, no_photographs=True)).photographs == ()
    assert content(priced, form=PaperFormat.XLSX).photographs == ()
    pages = lay_out_insurance(content(priced), EURO).pages
    assert sum(isinstance(mark, PlacedPicture) for page in pages for mark in page.marks) == 3


def test_the_grades_and_the_basis_are_explained(priced: Library) -> None:
    any_basis = said(lay_out_insurance(content(priced), EURO))
    on_market = replace(EURO, basis=Basis.MARKET)
    market = said(lay_out_insurance(content(priced, options=on_market), on_market))
    assert "the latest valuation, or what was paid where there is none" in any_basis
    assert "what was paid" not in market
    assert "the latest market value" in market
    assert "2026-03-31" in any_basis, "the day of the rates"
