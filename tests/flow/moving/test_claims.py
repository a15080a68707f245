"""A claim on the small library, whose values and masses are added up by hand.

Box 1 holds copies worth EUR 120.00, nothing known, EUR 4.50 and USD 900; box 2 one worth EUR 130.00. No mass is stated,
so each copy is taken for 1200 g.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from intake.carriage.regimes import REGIMES
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.reasons import RowReason
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claim_periods import period_rows
from intake.flow.moving.claim_words import claim_sums, limits_paper
from intake.flow.moving.claims import Claim, ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign
from intake.flow.papers.claim_papers import notice_content
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.flow.values.exchange_rates import enter_rate
from intake.model.boxes import Box, Consignment
from intake.model.carriage import Goods, LiabilityTerms, Packer
from intake.model.moving_papers import LimitsPaper
from tests.flow.conftest import NOW, import_text
from tests.made_library import copy_library

TODAY = date(2026, 5, 4)
EARLIER = TODAY - timedelta(days=2)
SEA = LiabilityTerms(
    regime=REGIMES["hague-visby"], currency="EUR", rate=Decimal("1.2"), rate_on=TODAY, rate_source="a bank"
)
ROAD = replace(SEA, regime=REGIMES["cmr"], goods=Goods.FREIGHT)
MOVER = LiabilityTerms(regime=REGIMES["released-value"], currency="USD", goods=Goods.HOUSEHOLD)


@pytest.fixture(scope="module")
def lost_made(library_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lost")
    with copy_library(library_made, folder / "library") as library:
        box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
        box_lifecycle.close_box(library, "2", station="test")
        parties = Consignment(reference="R-1", carrier="Invented Haulage", consignor="Ada Thorn", consignee="Bo Lind")
        consign(library, parties, ["1", "2"], station="test")
        for box, day in (("1", EARLIER), ("2", TODAY)):
            seen = box_lifecycle.ArrivalReport(delivered=day)
            box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")
        box_lifecycle.finish(library, "1", now=NOW, station="test")
    return folder / "library"


@pytest.fixture
def lost(lost_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Both boxes delivered on different days; all of box 1 is missing, box 2 is not opened."""
    with copy_library(lost_made, tmp_path / "library") as opened:
        yield opened


def claim_of(library: Library, terms: LiabilityTerms = SEA, *, today: date = TODAY, **more: object) -> Claim:
    request = replace(ClaimRequest(terms=terms), **more)  # type: ignore[arg-type] # by name
    with library.reading() as records:
        return plan_claim(records, "R-1", request, today=today)


def paper_of(library: Library, terms: LiabilityTerms = SEA, **more: object) -> LimitsPaper:
    return limits_paper(claim_of(library, terms, **more), today=TODAY)  # type: ignore[arg-type] # by name


def notes(paper: LimitsPaper) -> str:
    return "\n".join(note for _, lines in paper.notes for note in lines)


def rate(library: Library, currency: str, per_euro: str, on: date = TODAY) -> None:
    enter_rate(library, "EUR", currency, Decimal(per_euro), on=on, source="a bank", station="test", today=TODAY)


def accession(library: Library, key: str) -> str:
    with library.reading() as records:
        return next(copy.accession for copy, edition in all_copies(records) if edition.key == key)


def test_loss_limit_and_gap_in_euros(lost: Library) -> None:
    claim = claim_of(lost)
    assert claim.owed is not None
    # One package: 666.67 SDR at 1.2; the copy without a value and the one in dollars are in no sum.
    assert (claim.owed.loss, claim.owed.limit, claim.owed.most, claim.owed.gap) == (
        Decimal("124.50"), Decimal("800.00"), Decimal("124.50"), Decimal(0),
    )  # fmt: skip
    assert set(claim.owed.unvalued) == {accession(lost, "G1"), accession(lost, "O1")}
    sums = dict(claim_sums(claim))
    unrated = "1 copy worth USD 900.00: no rate of EUR in USD is recorded"
    assert sums["In none of these sums"] == f"1 copy without a value; {unrated}"


def test_values_in_another_currency_are_converted_by_the_rates_held(lost: Library) -> None:
    rate(lost, "USD", "1.25")
    claim = claim_of(lost)
    assert claim.owed is not None
    # 900 / 1.25 = 720.00, and EUR 124.50 beside it; the limit stays at 800.00.
    assert (claim.owed.loss, claim.owed.most, claim.owed.gap) == (
        Decimal("844.50"),
        Decimal("800.00"),
        Decimal("44.50"),
    )
    assert claim.owed.unvalued == (accession(lost, "G1"),)
    assert claim.rates == ("EUR 1 = USD 1.25 (2026-05-04, a bank)",)
    dollars = claim_of(lost, replace(SEA, currency="USD")).owed
    assert dollars is not None
    assert dollars.loss == Decimal("1055.63")  # 120 x 1.25 = 150.00, 4.50 x 1.25 = 5.625, and 900


def test_a_rate_that_is_too_old_is_missing_and_the_day_of_the_rates_can_be_named(lost: Library) -> None:
    rate(lost, "USD", "1.25", on=TODAY - timedelta(days=8))
    claim = claim_of(lost)
    assert claim.owed is not None
    assert claim.owed.loss == Decimal("124.50")
    assert "8 days earlier" in dict(claim_sums(claim))["In none of these sums"]
    then = claim_of(lost, rates_on=TODAY - timedelta(days=7)).owed
    assert then is not None
    assert then.loss == Decimal("844.50")


def test_the_rate_of_the_limit_is_the_librarys_where_none_is_given(lost: Library) -> None:
    with pytest.raises(UsageError, match="XDR"):
        claim_of(lost, replace(SEA, rate=None))
    with pytest.raises(UsageError, match="intake rates enter"):
        claim_of(lost, replace(SEA, rate=None))
    rate(lost, "XDR", "0.8")
    claim = claim_of(lost, replace(SEA, rate=None, rate_on=None, rate_source=""))
    assert claim.owed is not None
    assert claim.owed.limit == Decimal("833.34")  # 666.67 / 0.8 = 833.3375
    assert dict(claim_sums(claim))["Rate of the limit"] == (
        "1 SDR = 1.25 EUR, from the rates on record: EUR 1 = XDR 0.8 (2026-05-04, a bank)"
    )


def test_what_was_found_since_is_on_no_claim_and_no_notice(lost: Library) -> None:
    with lost.reading() as records:
        dear = next(copy for copy in copies_in_box(records, "B1-56"))
        box = records.get(Box, "B2-47")
    assert box is not None
    book_scan(lost, box.number, Scan(dear.accession, "found"), station="test", now=NOW)
    claim = claim_of(lost)
    assert claim.owed is not None
    assert claim.owed.loss == Decimal("4.50")
    assert dear.accession not in {loss.copy for loss in claim.losses}
    paper = limits_paper(claim, today=TODAY)
    assert all(dear.accession not in row[2] for row in paper.losses)
    assert f"not claimed: {dear.accession} (in box B2-47)." in notes(paper)
    with lost.reading() as records:
        letter = notice_content(records, "R-1", on=TODAY)
    assert len(letter.lines) == 3
    assert dear.accession not in {line.number for line in letter.lines}


def test_a_letter_about_nothing_but_what_was_found_is_refused(lost: Library) -> None:
    with lost.reading() as records:
        copies = copies_in_box(records, "B1-56")
    for copy in copies:
        book_scan(lost, "2", Scan(copy.accession, copy.accession), station="test", now=NOW)
    with lost.reading() as records, pytest.raises(RefusedError, match="nothing to say"):
        notice_content(records, "R-1", on=TODAY)
    assert claim_of(lost).owed is None


def test_full_value_counts_what_boxes_weigh_and_what_unweighed_ones_are_taken_for(lost: Library) -> None:
    # Box 1 weighs 9000 g; the one copy of box 2 is taken for 1200 g: 10.2 kg are 22.49 lb, at 6.00 USD 134.94.
    owed = claim_of(lost, replace(MOVER, regime=REGIMES["full-value"])).owed
    assert owed is not None
    assert owed.limit == Decimal("134.94")


def test_the_gross_mass_of_the_box_counts_by_air(lost: Library) -> None:
    """Montreal Convention, article 22(4): 9 kg of box 1, and 1.2 kg of box 2, where the other volume of a set lies.

    10.2 x 26 x 1.2 = 318.24, or by the limit of 2019 10.2 x 22 x 1.2 = 269.28.
    """
    air = replace(SEA, regime=REGIMES["montreal"])
    paper = paper_of(lost, air)
    assert "in force since 2024-12-28 is used: 26." in notes(paper)
    assert [row[2] for row in paper.limits] == ["EUR 318.24"]
    consign(lost, Consignment(reference="R-1", dispatched=date(2020, 3, 9)), [], station="test")
    earlier = claim_of(lost, air).owed
    assert earlier is not None
    assert earlier.limit == Decimal("269.28")


def test_part_of_a_box_counts_as_its_part_of_the_gross_mass(lost: Library) -> None:
    """CMR, article 23(3): two of four copies that are taken for alike are half of 9 kg: 4.5 x 8.33 = 37.49."""
    for key in ("F1", "P5"):
        book_scan(lost, "2", Scan(accession(lost, key), key), station="test", now=NOW)
    owed = claim_of(lost, ROAD).owed
    assert owed is not None
    assert owed.limit == Decimal("44.99")  # 37.49 x 1.2 = 44.988


def test_a_part_of_a_box_that_rests_on_estimated_masses_says_so(lost: Library) -> None:
    """CMR, article 23(3): nobody weighs what is short, so the part of box 1 rests on what its books may weigh."""
    road = claim_of(lost, ROAD)
    with lost.reading() as records:
        in_first = {copy.accession for copy, _ in all_copies(records) if copy.box == "B1-56"}
    assert road.estimated == dict.fromkeys(in_first, 1200.0)
    said = notes(limits_paper(road, today=TODAY))
    assert all(f"{copy} 1.20 kg" in said for copy in in_first)
    # By air the whole box counts, which was weighed.
    assert claim_of(lost, replace(SEA, regime=REGIMES["montreal"])).estimated == {}


def test_charges_are_refunded_by_mass(lost: Library) -> None:
    """CMR, article 23(4): 9 of 10.2 kg of the shipment: 90 of 102 euros."""
    claim = claim_of(lost, replace(ROAD, charges=Decimal(102)))
    assert claim.owed is not None
    assert claim.owed.charges == Decimal("90.00")
    assert claim.owed.most == Decimal("89.96") + Decimal("90.00")  # 9 x 8.33 x 1.2 = 89.964
    assert "EUR 102.00" in notes(limits_paper(claim, today=TODAY))
    # By sea no article refunds them, which is said.
    assert "EUR 102.00" in notes(paper_of(lost, replace(SEA, charges=Decimal(102))))


def test_each_box_has_its_own_day_of_delivery(lost: Library) -> None:
    claim = claim_of(lost)
    assert [(delivery.day, delivery.boxes) for delivery, _ in claim.periods] == [
        (EARLIER, ("B1-56",)), (TODAY, ("B2-47",)),
    ]  # fmt: skip
    # A day that is given changes nothing where both boxes have their own.
    given = claim_of(lost, delivered=date(2026, 5, 1))
    assert given.periods == claim.periods
    # Hague-Visby, article III 6: three days. On 6 May they are over for box 1, and one is left for box 2.
    paper = limits_paper(claim_of(lost, today=date(2026, 5, 6)), today=date(2026, 5, 6))
    assert paper.deliveries == ("Delivered on 2026-05-02: B1-56", "Delivered on 2026-05-04: B2-47")
    assert paper.periods[1][1].splitlines() == [
        "2026-05-05: over (delivered 2026-05-02)",
        "2026-05-07: 1 day left (delivered 2026-05-04)",
    ]


def test_a_given_day_fills_in_only_for_boxes_without_one(library: Library) -> None:
    consign(library, Consignment(reference="R-1"), ["1", "2"], station="test")
    seen = box_lifecycle.ArrivalReport(delivered=TODAY)
    box_lifecycle.check_in(library, "1", seen=seen, today=TODAY, station="test")
    box_lifecycle.check_in(library, "2", today=TODAY, station="test")
    claim = claim_of(library)
    assert (len(claim.periods), claim.undated) == (1, ("B2-47",))
    assert "nobody recorded: B2-47" in notes(limits_paper(claim, today=TODAY))
    filled = claim_of(library, delivered=EARLIER)
    assert [(delivery.day, delivery.boxes, delivery.stated) for delivery, _ in filled.periods] == [
        (EARLIER, ("B2-47",), ("B2-47",)), (TODAY, ("B1-56",), ()),
    ]  # fmt: skip
    assert filled.undated == ()


def test_days_that_cannot_be_are_refused(lost: Library, tmp_path: Path) -> None:
    consign(lost, Consignment(reference="R-1", dispatched=EARLIER), [], station="test")
    for more in ({"rates_on": date(2026, 5, 5)}, {"terms": replace(SEA, rate_on=date(2026, 5, 5))}):
        with pytest.raises(UsageError, match="in the future"):
            claim_of(lost, **more)
    late = Consignment(reference="R-1", dispatched=TODAY - timedelta(days=1))
    with pytest.raises(UsageError, match="before the dispatch"):
        consign(lost, late, [], station="test")
    listed = import_text(lost, tmp_path, ListKind.CONSIGNMENT, "reference,dispatched\nR-1,2026-05-03\n")
    assert [row.reason for row in listed.bad_rows] == [RowReason.DELIVERED_BEFORE_DISPATCH]


def test_negative_sums_are_refused(lost: Library) -> None:
    for field in ("declared", "charges", "per_kg"):
        with pytest.raises(UsageError, match="from 0 on"):
            claim_of(lost, replace(SEA, **{field: Decimal(-5)}))  # type: ignore[arg-type] # by name
    with pytest.raises(UsageError, match="from 0 on"):
        claim_of(lost, insured=Decimal(-5))


def test_a_policy_with_average_is_compared_with_all_that_was_at_risk(lost: Library) -> None:
    # At risk are 120.00, 4.50 and 130.00; two of five copies have no value in euros. 124.50 x 100 / 254.50 = 48.92.
    claim = claim_of(lost, insured=Decimal(100))
    assert (claim.at_risk.amount, claim.at_risk.copies, claim.at_risk.unknown) == (Decimal("254.50"), 5, 2)
    assert claim.average is not None
    assert (claim.average.paid, claim.average.underinsured) == (Decimal("48.92"), True)
    text = notes(limits_paper(claim, today=TODAY))
    assert "EUR 48.92" in text
    assert "2 copies at risk without a value in EUR" in text
    assert claim_of(lost).average is None


def test_what_is_declared_replaces_a_lower_limit_where_an_article_says_so(lost: Library) -> None:
    """CMR, article 24."""
    rate(lost, "USD", "1.25")
    claim = claim_of(lost, replace(ROAD, declared=Decimal(500)))
    assert claim.owed is not None
    assert (claim.owed.limit, claim.owed.most) == (Decimal(500), Decimal(500))
    assert "replaces the limit" in notes(limits_paper(claim, today=TODAY))
    assert "changes nothing" in notes(paper_of(lost, replace(ROAD, declared=Decimal(50))))


def test_one_container_or_each_box_are_told_side_by_side(lost: Library) -> None:
    """Hague-Visby Rules, article IV 5(c)."""
    rate(lost, "USD", "1.25")
    box_lifecycle.finish(lost, "2", now=NOW, station="test")
    claim = claim_of(lost)
    sums = dict(claim_sums(claim))
    # Two packages: of box 1 at most 800.00, of box 2 its 130.00; as one package 800.00 in all.
    assert sums["The carrier would owe at most (if the bill lists every box)"] == "EUR 930.00"
    assert (
        sums["It would owe at most, if the bill names one container or pallet only"] == "EUR 800.00, limit EUR 800.00"
    )
    stated = claim_of(lost, replace(SEA, packages=1))
    assert dict(claim_sums(stated))["The carrier would owe at most"] == "EUR 800.00"
    assert stated.as_one is None


def test_boxes_that_have_not_arrived_are_named_and_count_when_asked(library: Library) -> None:
    consign(library, Consignment(reference="R-1"), ["1", "2"], station="test")
    box_lifecycle.check_in(library, "1", seen=box_lifecycle.ArrivalReport(delivered=TODAY), today=TODAY, station="test")
    waiting = claim_of(library)
    assert waiting.owed is None
    assert "Not arrived, and in no sum: B2-47." in notes(limits_paper(waiting, today=TODAY))
    counted = claim_of(library, awaited_lost=True)
    assert counted.owed is not None
    assert counted.owed.loss == Decimal("130.00")


def test_what_is_dear_is_named_for_a_carrier_of_the_united_states(lost: Library) -> None:
    # 900 USD on 1200 g, 2.65 lb, are 340 USD a pound.
    dear = accession(lost, "O1")
    found = claim_of(lost, MOVER)
    assert found.owed is not None
    assert found.owed.to_name == (dear,)
    assert f"beforehand: {dear}." in notes(limits_paper(found, today=TODAY))
    assert "beforehand" not in notes(paper_of(lost))


def test_the_sheet_names_rules_articles_bases_and_what_was_left_out(lost: Library) -> None:
    paper = paper_of(lost, replace(SEA, packed_by=Packer.OWNER))
    assert (paper.reference, paper.carrier, paper.regime) == ("R-1", "Invented Haulage", "Hague-Visby")
    assert [(box, amount) for box, _, amount in paper.limits] == [("B1-56", "EUR 800.00")]
    assert [(row[0], row[1], *row[3:]) for row in paper.losses] == [
        ("missing", "no value recorded", "", "in no sum"),
        ("missing", "agreed", "USD 900.00", "in no sum: no rate of EUR in USD is recorded"),
        ("missing", "market", "EUR 120.00", "EUR 120.00"),
        ("missing", "replacement", "EUR 4.50", "EUR 4.50"),
    ]
    text = notes(paper)
    for words in (
        "article IV, 5(a)", "IV, 5(c)", "You packed the boxes", "article IV, 5(e)", "as no value is recorded",
        "as a rate is missing", "Not opened, so that more may be missing or damaged: B2-47",
        "Not legal advice: the contract, the policy, local law and licensed advice decide.",
    ):  # fmt: skip
        assert words in text
    assert dict(paper.facts)["Rate of the limit"] == "1 SDR = 1.2 EUR, on 2026-05-04, a bank"
    undated = paper_of(lost, replace(SEA, rate_on=None, rate_source=""))
    assert "2026" not in dict(undated.facts)["Rate of the limit"]
    whole = paper_of(lost, replace(MOVER, regime=REGIMES["full-value"]))
    assert [box for box, _, _ in whole.limits] == ["all"]
    assert dict(whole.facts)["Rate of the limit"] == ""


def test_the_mass_counted_is_shown_where_a_mass_counts(lost: Library) -> None:
    rate(lost, "USD", "1.25")
    removal = LiabilityTerms(
        regime=REGIMES["german-removal"], currency="EUR", goods=Goods.HOUSEHOLD, volume_m3=Decimal(3)
    )
    paper = paper_of(lost, removal)
    assert paper.counted == ()
    assert paper.limits == (("all", "620 EUR × 3 m³ = 1,860.00 EUR; loss EUR 844.50", "EUR 1,860.00"),)
    cogsa = paper_of(lost, LiabilityTerms(regime=REGIMES["us-cogsa"], currency="EUR"))
    assert cogsa.counted == ()
    assert "whatever they weigh" in notes(cogsa)
    (shipment,) = paper_of(lost, replace(MOVER, regime=REGIMES["full-value"])).counted
    assert (shipment[0], shipment[2]) == ("all", "22.49 lb")
    assert paper_of(lost, ROAD).counted == (
        (
            "B1-56",
            (
                "missing or damaged copies of 4.80 kg; the box was weighed at packing: 9.00 kg, the copies of its list "
                "make 4.80 kg"
            ),
            "9.00 kg",
        ),
    )


def test_the_letter_names_the_days_of_delivery_and_no_rules(lost: Library) -> None:
    with lost.reading() as records:
        letter = notice_content(records, "R-1", on=TODAY)
    assert (letter.sender, letter.carrier) == ("Bo Lind", "Invented Haulage")
    assert letter.delivered == "2026-05-02: B1-56; 2026-05-04: B2-47"
    assert len(letter.lines) == 4


def test_periods_say_how_many_days_are_left_and_what_lateness_costs(library: Library) -> None:
    # Hague-Visby, delivered on 4 May: at once, three days, one year.
    consign(library, Consignment(reference="R-1"), ["1"], station="test")
    seen = box_lifecycle.ArrivalReport(delivered=TODAY)
    box_lifecycle.check_in(library, "1", seen=seen, today=TODAY, station="test")
    claim = claim_of(library)
    assert [row[1] for row in period_rows(claim, date(2026, 5, 5))] == [
        "2026-05-04: over", "2026-05-07: 2 days left", "2027-05-04: 364 days left",
    ]  # fmt: skip
    first = next(period_rows(claim, TODAY))
    assert first[1] == "2026-05-04: today"
    assert "presumed" in first[3]
    assert [row[1] for row in period_rows(claim_of(library, MOVER), TODAY)] == [
        "2027-02-04: 276 days left", "not known",
    ]  # fmt: skip


def test_the_sheet_says_whether_holidays_were_known(lost: Library) -> None:
    """CMR, article 30(1): of Saturday 2 May the Sundays of 3 and 10 May are left out."""
    hidden = paper_of(lost, ROAD).periods[1]
    assert "no list of holidays was used" in hidden[2]
    assert hidden[1].splitlines()[0] == "2026-05-11: 7 days left (delivered 2026-05-02)"
    with_one = paper_of(lost, replace(ROAD, holidays=frozenset({date(2026, 5, 5)}))).periods[1]
    assert "the holidays you named" in with_one[2]
    assert with_one[1].splitlines()[0] == "2026-05-12: 8 days left (delivered 2026-05-02)"
