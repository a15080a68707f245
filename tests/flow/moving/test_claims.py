"""A claim on the small library, whose values and masses are added up by hand.

Box 1 holds copies worth EUR 120.00, nothing known, EUR 4.50 and USD 900; box 2 one worth EUR 130.00.
"""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claims import REGIMES, Claim, claim_sums, notice_paper, period_rows, plan_claim
from intake.flow.moving.consignments import consign
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.model.boxes import Box, Consignment
from intake.model.carriage import LiabilityTerms, Regime
from tests.flow.conftest import NOW

TODAY = date(2026, 5, 4)
SEA = LiabilityTerms(
    regime=Regime.HAGUE_VISBY, currency="EUR", rate=Decimal("1.2"), rate_on=TODAY, rate_source="a bank"
)


@pytest.fixture
def lost(library: Library) -> Library:
    """Both boxes delivered on different days; all of box 1 is missing, box 2 is not opened."""
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    box_lifecycle.close_box(library, "2", station="test")
    parties = Consignment(reference="R-1", carrier="Invented Haulage", consignor="Ada Thorn", consignee="Bo Lind")
    consign(library, parties, ["1", "2"], station="test")
    for box, day in (("1", TODAY - timedelta(days=2)), ("2", TODAY)):
        seen = box_lifecycle.ArrivalReport(delivered=day)
        box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")
    box_lifecycle.finish(library, "1", now=NOW, station="test")
    return library


def claim_of(library: Library, terms: LiabilityTerms = SEA, **more: Decimal | date | None) -> Claim:
    with library.reading() as records:
        return plan_claim(records, "R-1", terms, **{"delivered": None, "today": TODAY, **more})  # type: ignore[arg-type] # by name


def test_loss_limit_and_gap_in_euros(lost: Library) -> None:
    owed = claim_of(lost).owed
    assert owed is not None
    # One package: 666.67 SDR at 1.2; the copy without a value and the one in dollars are counted and left out.
    assert (owed.loss, owed.limit, owed.most, owed.gap, owed.unvalued) == (
        Decimal("124.50"), Decimal("800.00"), Decimal("124.50"), Decimal(0), 2,
    )  # fmt: skip
    dollars = claim_of(lost, replace(SEA, currency="USD")).owed
    assert dollars is not None
    assert (dollars.loss, dollars.most, dollars.gap, dollars.unvalued) == (
        Decimal(900),
        Decimal("800.00"),
        Decimal("100.00"),
        3,
    )


def test_what_was_found_since_is_not_lost(lost: Library) -> None:
    with lost.reading() as records:
        dear = next(copy for copy in copies_in_box(records, "B1-56"))
        box = records.get(Box, "B2-47")
    assert box is not None
    book_scan(lost, box.number, Scan(dear.accession, "found"), station="test", now=NOW)
    owed = claim_of(lost).owed
    assert owed is not None
    assert owed.loss == Decimal("4.50")


def test_full_value_counts_what_boxes_weigh_and_what_unweighed_ones_are_taken_for(lost: Library) -> None:
    # Box 1 weighs 9000 g; the one copy of box 2 is taken for 1200 g: 10.2 kg are 22.487 lb, at 6.00 USD 134.92.
    owed = claim_of(lost, LiabilityTerms(regime=Regime.FULL, currency="USD")).owed
    assert owed is not None
    assert owed.limit == Decimal("134.92")


def test_the_gross_mass_of_the_box_counts_by_air(lost: Library) -> None:
    # 9 kg at 26 SDR and 1.2 EUR.
    air = replace(SEA, regime=Regime.MONTREAL, dispatched=date(2026, 3, 9))
    owed = claim_of(lost, air).owed
    assert owed is not None
    assert owed.limit == Decimal("280.80")
    assert len(claim_of(lost, replace(air, dispatched=None)).remarks) == len(claim_of(lost, air).remarks) + 1
    assert any("2024-12-28" in remark for remark in claim_of(lost, replace(air, dispatched=None)).remarks)


def test_the_latest_delivery_counts_unless_a_day_is_given(lost: Library) -> None:
    assert claim_of(lost).delivered == TODAY
    given = claim_of(lost, delivered=date(2026, 5, 1))
    assert (given.delivered, given.periods[1].last) == (date(2026, 5, 1), date(2026, 5, 4))


def test_what_is_declared_and_insured_is_set_against_the_loss(lost: Library) -> None:
    plain = claim_of(lost)
    both = claim_of(lost, declared=Decimal(100), insured=Decimal("124.50"))
    declared, insured = both.remarks[1:3]
    assert both.remarks[3:] == plain.remarks[1:]
    assert "EUR 100.00" in declared
    assert "EUR 24.50" in declared
    assert "EUR 124.50" in insured
    assert "EUR 0.00" not in insured
    # Two copies without a value in euros; one box not opened.
    assert len(plain.remarks) == 3
    assert plain.remarks[1].startswith("2 ")
    assert plain.remarks[2].startswith("1 ")


def test_what_is_dear_is_named_for_a_carrier_of_the_united_states(lost: Library) -> None:
    # 900 USD on 1200 g, 2.65 lb, are 340 USD a pound.
    with lost.reading() as records:
        dear = next(copy for copy, edition in all_copies(records) if edition.key == "O1")
    found = claim_of(lost, LiabilityTerms(regime=Regime.RELEASED, currency="USD"))
    assert found.owed is not None
    assert found.owed.to_name == (dear.accession,)
    assert any(dear.accession in remark for remark in found.remarks)
    assert not any(dear.accession in remark for remark in claim_of(lost).remarks)


def test_the_notice_carries_sums_limits_and_periods(lost: Library) -> None:
    claim = claim_of(lost)
    paper = notice_paper(claim, SEA, today=TODAY)
    assert (paper.reference, paper.sender, paper.carrier, paper.delivered) == (
        "R-1", "Bo Lind", "Invented Haulage", "2026-05-04",
    )  # fmt: skip
    assert [(box, amount) for box, _, amount in paper.limits] == [("B1-56", "EUR 800.00")]
    assert len(paper.lines) == 4
    assert [text for _, text in paper.facts] == [
        "EUR 124.50", "EUR 124.50", "EUR 800.00", "EUR 0.00", "1 SDR = 1.2 EUR, on 2026-05-04, a bank",
    ]  # fmt: skip
    # The first remark, that all this is no advice, is the paper's own.
    assert paper.remarks[:-1] == claim.remarks[1:]
    full = LiabilityTerms(regime=Regime.FULL, currency="USD")
    whole = notice_paper(claim_of(lost, full), full, today=TODAY)
    assert [box for box, _, _ in whole.limits] == ["all"]
    assert dict(claim_sums(claim_of(lost, full), full))["Rate"] == ""
    undated = replace(SEA, rate_on=None, rate_source="")
    assert "2026" not in dict(claim_sums(claim_of(lost, undated), undated))["Rate"]


def test_periods_say_how_many_days_are_left(lost: Library) -> None:
    # Hague-Visby, delivered on 4 May: at once, three days, one year.
    found = claim_of(lost).periods
    assert [row[1] for row in period_rows(found, date(2026, 5, 5))] == [
        "2026-05-04: over", "2026-05-07: 2 days left", "2027-05-04: 364 days left",
    ]  # fmt: skip
    assert period_rows(found, TODAY)[0][1] == "2026-05-04: today"
    released = claim_of(lost, LiabilityTerms(regime=Regime.RELEASED, currency="USD")).periods
    assert period_rows(released, TODAY)[1][1] == "not known"


def test_every_regime_can_be_typed() -> None:
    assert set(REGIMES.values()) == set(Regime)
    assert (REGIMES["cmr"], REGIMES["per-kg"]) == (Regime.CMR, Regime.PER_KG)
