"""Goods that never came: what is owed, from when they count as lost, and what runs without a delivery.

CMR, articles 20 (60 days after taking over, where no time was agreed) and 32(1)(b) (a year from the 60th day after
taking over, that day not counted; from memory). Taken over on Saturday 20 June 2026: the 60th day after it is Wednesday
19 August 2026, counted in a calendar (10 days of June, 31 of July, 19 of August), that to sue 19 August 2027.
The small library: box 1 is worth EUR 120.00, EUR 4.50 and USD 900, box 2 EUR 130.00; nothing is weighed.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from intake.carriage.periods import overdue_periods
from intake.carriage.regimes import REGIMES
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.errors import UsageError
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claim_words import claim_sums, limits_paper
from intake.flow.moving.claims import Claim, ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign
from intake.flow.moving.losses import ConsignmentValues, list_losses
from intake.flow.papers.claim_papers import notice_content
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.model.boxes import Consignment
from intake.model.carriage import Goods, LiabilityTerms, PeriodKind
from intake.model.editions import Copy, CopyState, Edition
from intake.valuing.rates import RateTable
from tests.flow.conftest import NOW

TAKEN_OVER, TODAY = date(2026, 6, 20), date(2026, 11, 20)
ROAD = LiabilityTerms(regime=REGIMES["cmr"], currency="EUR", rate=Decimal("1.2"), goods=Goods.FREIGHT)


@pytest.fixture
def sent(library: Library) -> Library:
    return send(library)


def send(library: Library) -> Library:
    """Let a carrier take over two boxes."""
    for box, gross in (("1", 9000.0), ("2", None)):
        box_lifecycle.close_box(library, box, gross_g=gross, station="test")
    consign(library, Consignment(reference="T-9", dispatched=TAKEN_OVER), ["1", "2"], station="test")
    return library


def claim_of(library: Library, terms: LiabilityTerms = ROAD, **more: object) -> Claim:
    request = replace(ClaimRequest(terms=terms), **more)  # type: ignore[arg-type] # by name
    with library.reading() as records:
        return plan_claim(records, "T-9", request, today=TODAY)


def arrived(library: Library, box: str) -> None:
    seen = box_lifecycle.ArrivalReport(delivered=TODAY)
    box_lifecycle.check_in(library, box, seen=seen, today=TODAY, station="test")


def notes(claim: Claim) -> str:
    return "\n".join(note for _, lines in limits_paper(claim, today=TODAY).notes for note in lines)


def test_all_of_it_is_lost(sent: Library) -> None:
    """CMR, article 23(3): 9 kg of box 1 and 1.2 kg for the copy in box 2, 10.20 x 8.33 = 84.97, x 1.2 = 101.96."""
    claim = claim_of(sent, awaited_lost=True)
    assert claim.owed is not None
    assert (claim.owed.loss, claim.owed.limit, claim.owed.most) == (
        Decimal("254.50"), Decimal("101.96"), Decimal("101.96"),
    )  # fmt: skip
    paper = limits_paper(claim, today=TODAY)
    assert paper.deliveries == ("Nothing of this consignment has been delivered.",)
    assert [(row[0], row[1], row[4]) for row in paper.periods] == [
        ("may be treated as lost: B1-56, B2-47", "after 2026-08-19: passed (if no time was agreed)", "CMR, article 20"),
        (
            "action in court, never delivered: B1-56, B2-47",
            "2027-08-19: 272 days left (if no time was agreed)",
            "CMR, article 32(1)(b) (from memory)",
        ),
    ]


def test_losses_are_listed_box_by_box_in_the_order_of_their_numbers() -> None:
    copies = (("A104-05", "B10-72"), ("A11-66", "B2-47"), ("A2-50", "B10-72"), ("A100-41", "B2-47"))
    contents = [
        (Copy(accession=copy, edition_id=1, state=CopyState.PACKED, box=box), Edition(id=1, title="Gulls"))
        for copy, box in copies
    ]
    values = ConsignmentValues(values={}, table=RateTable(()), currency="EUR", on=TODAY)
    losses = list_losses((), contents, values, awaited=("B2-47", "B10-72"))
    assert [loss.copy for loss in losses] == ["A11-66", "A100-41", "A2-50", "A104-05"]


def test_nothing_has_come_and_nothing_is_counted_as_lost(sent: Library) -> None:
    claim = claim_of(sent)
    assert claim.owed is None
    assert claim.never_came == ("B1-56", "B2-47")
    assert "no box has arrived" in claim_sums(claim)[0][1]
    assert len(limits_paper(claim, today=TODAY).periods) == 2


def test_a_day_that_is_given_for_boxes_that_never_came_is_used_for_none(sent: Library) -> None:
    claim = claim_of(sent, delivered=date(2026, 11, 20), awaited_lost=True)
    assert claim.periods == ()
    assert "The day of delivery that you stated, 2026-11-20" in notes(claim)
    with pytest.raises(UsageError, match="in the future"):
        claim_of(sent, delivered=date(2026, 11, 21), awaited_lost=True)


def test_a_day_in_the_future_is_refused_where_every_box_has_its_own(sent: Library) -> None:
    for box in ("1", "2"):
        arrived(sent, box)
    with pytest.raises(UsageError, match="in the future"):
        claim_of(sent, delivered=date(2026, 11, 21))
    with sent.reading() as records, pytest.raises(UsageError, match="in the future"):
        notice_content(records, "T-9", on=TODAY, delivered=date(2026, 11, 21))


def test_one_box_that_never_came_has_periods_of_its_own(sent: Library) -> None:
    arrived(sent, "1")
    assert len(limits_paper(claim_of(sent), today=TODAY).periods) == 4
    paper = limits_paper(claim_of(sent, awaited_lost=True), today=TODAY)
    assert [row[0] for row in paper.periods[4:]] == [
        "may be treated as lost: B2-47", "action in court, never delivered: B2-47",
    ]  # fmt: skip


@pytest.mark.parametrize("name", [name for name, regime in REGIMES.items() if not regime.refused])
def test_every_regime_says_what_runs_without_a_delivery(name: str) -> None:
    """A day is computed for the CMR only: every other article counts from when the goods should have come."""
    periods = overdue_periods(REGIMES[name], TAKEN_OVER)
    assert [period for period in periods if period.rule is not None]
    days = [period.last for period in periods]
    assert days == ([date(2026, 8, 19), date(2027, 8, 19)] if name == "cmr" else [None] * len(days))
    assert {period.last for period in overdue_periods(REGIMES[name], None)} == {None}
    kinds = [period.rule.occasion for period in periods if period.rule is not None]
    assert kinds[-1] is (PeriodKind.CLAIM if name == "per-kg" else PeriodKind.ACTION)


def test_the_letter_about_boxes_that_never_came(sent: Library) -> None:
    with sent.reading() as records:
        letter = notice_content(records, "T-9", on=TODAY)
    assert (letter.lines, letter.delivered) == ((), "")
    assert letter.awaited == ("B1-56 (4 copies)", "B2-47 (1 copy)")


def test_the_letter_says_what_is_not_identified_yet(sent: Library) -> None:
    """It may be among the missing, which the carrier is told as well; what to do about it is for the sender."""
    arrived(sent, "1")
    book_scan(sent, "1", Scan("something illegible", "x"), station="test", now=NOW)
    with sent.reading() as records:
        letter = notice_content(records, "T-9", on=TODAY)
    assert letter.totals == ("1 thing from these boxes is not identified yet, and may be among what is missing.",)


def test_a_box_that_was_begun_is_among_what_is_left_out(sent: Library) -> None:
    """Box 1 lists four copies, of which one is taken out."""
    for box in ("1", "2"):
        arrived(sent, box)
    with sent.reading() as records:
        first = next(copy.accession for copy, _ in all_copies(records) if copy.box == "B1-56")
    book_scan(sent, "1", Scan(first, first), station="test", now=NOW)
    claim = claim_of(sent)
    assert claim.half_unpacked == (("B1-56", 3),)
    assert "B1-56 (3 copies not taken out)" in notes(claim)
    assert "Not opened, so that more may be missing or damaged: B2-47" in notes(claim)


def test_what_these_rules_do_not_use_is_said(sent: Library) -> None:
    stated = replace(ROAD, volume_m3=Decimal(4), packages=3, per_kg=Decimal(5))
    assert "do not use it" not in notes(claim_of(sent, awaited_lost=True))
    assert "do not use it: 4 m³ of loading space, 3 packages, EUR 5.00 per kilogram." in notes(claim_of(sent, stated))
