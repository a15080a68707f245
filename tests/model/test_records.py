"""What a record says of itself where nobody has said more: nothing is claimed that was not seen or counted."""

from datetime import UTC, date, datetime

from intake.model.condition import ConditionReport, Occasion
from intake.model.editions import Copy
from intake.model.goods import CustomsLine
from intake.model.identifiers import Repair
from intake.model.moving_papers import BoxFault, DiscrepancyPaper
from intake.model.papers import Inventory
from intake.model.places import Place, PlaceKind
from intake.model.valuations import rate_key


def test_a_copy_and_a_report_are_not_wrapped() -> None:
    report = ConditionReport(id=1, copy="A1-59", at=datetime(2026, 3, 1, tzinfo=UTC), occasion=Occasion.BEFORE)
    assert (Copy(accession="A1-59", edition_id=1).wrapped, report.wrapped) == (False, False)


def test_papers_count_nothing_that_is_not_there() -> None:
    assert BoxFault(number="B1-56", what="carton crushed").pictures == 0
    assert DiscrepancyPaper(reference="R-1", on=date(2026, 5, 4)).ledger_seq == 0
    assert Inventory(purpose="inventory", on=date(2026, 5, 4), lines=()).ledger_seq == 0
    goods = CustomsLine(box="B1-56", copy="A1-59", title="Ferns", goods="printed books", heading="4901.99")
    assert (goods.net_g, goods.gross_g, goods.country, goods.is_set) == (None, None, "", False)


def test_a_number_is_in_no_catalog_and_a_place_the_first() -> None:
    assert not Repair(number="x", written="x", how="").in_catalog
    assert Place(number="S1-00", kind=PlaceKind.ROOM, name="Study").position == 1


def test_a_rate_is_known_by_its_day_and_currencies() -> None:
    assert rate_key(date(2026, 1, 2), "EUR", "USD") == "2026-01-02 EUR USD"
