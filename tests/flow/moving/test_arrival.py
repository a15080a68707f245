"""From the delivery to the claim: what is seen, weighed, missing, damaged, found elsewhere, and told to the carrier."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import partial

import pytest

from intake.carriage.regimes import REGIMES
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.errors import RefusedError, UsageError
from intake.flow.moving import box_lifecycle
from intake.flow.moving.claim_words import claim_sums, limits_paper
from intake.flow.moving.claims import ClaimRequest, plan_claim
from intake.flow.moving.consignments import consign, freight, measure_outside
from intake.flow.moving.guess_parcel import look_into
from intake.flow.moving.mass_changes import mass_change
from intake.flow.moving.reconcile import reconcile, record_damage
from intake.flow.moving.weigh_box import explanation_rows, record_mass, weigh_box, words_of
from intake.flow.papers.claim_papers import notice_content
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Disposition, Scan, ScanResult
from intake.model.boxes import Box, BoxPicture, CartonState, Consignment, Discrepancy, DiscrepancyKind, SealState
from intake.model.carriage import LiabilityTerms
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import Picture
from intake.weighing.box_check import WeightVerdict
from tests.flow.conftest import NOW, booked, queued

TODAY = date(2026, 5, 4)
PICTURE = Picture(sha256="ab" * 32, name="box.jpg", media_type="image/jpeg", width_px=4, height_px=3)
SEEN = box_lifecycle.ArrivalReport(
    carton=CartonState.CRUSHED, seal=SealState.BROKEN, delivered=TODAY, pictures=(PICTURE,)
)


@pytest.fixture
def delivered(library: Library) -> Library:
    """Both boxes in one consignment, closed and delivered; the carton of box 1 crushed, its seal broken."""
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, gross_g=9000, seal=f"Q{box}", station="test")
    consign(library, Consignment(reference="R-1", carrier="Invented Haulage"), ["1", "2"], station="test")
    box_lifecycle.check_in(library, "1", seen=SEEN, today=TODAY, station="test")
    box_lifecycle.check_in(library, "2", seen=box_lifecycle.ArrivalReport(delivered=TODAY), today=TODAY, station="test")
    return library


def scan(library: Library, box: str, text: str) -> ScanResult:
    return book_scan(library, box, Scan(text, f"{box}/{text}"), station="test", now=NOW)


def test_what_was_seen_of_a_box_is_kept_and_undone_as_one(delivered: Library) -> None:
    with delivered.reading() as records:
        box = records.get(Box, "B1-56")
        assert box is not None
        assert (box.carton, box.seal_state, box.delivered) == (CartonState.CRUSHED, SealState.BROKEN, TODAY)
        assert [photograph.picture for photograph in records.all(BoxPicture)] == [PICTURE.sha256]
    undo(delivered, station="test")
    undo(delivered, station="test")
    with delivered.reading() as records:
        assert records.all(BoxPicture) == ()
        assert records.get(Picture, PICTURE.sha256) is None


def test_a_delivery_to_come_is_refused_and_nothing_booked(library: Library) -> None:
    box_lifecycle.close_box(library, "1", station="test")
    with pytest.raises(UsageError, match="is in the future"):
        box_lifecycle.check_in(library, "1", seen=SEEN, today=TODAY - timedelta(days=1), station="test")
    with library.reading() as records:
        box = records.get(Box, "B1-56")
        assert box is not None
        assert box.delivered is None


def test_a_box_that_lacks_something_asks_why_and_makes_a_line(delivered: Library) -> None:
    scan(delivered, "1", "9780306406157")
    asked: list[int] = []

    def why(missing: tuple[Copy, ...]) -> str:
        asked.append(len(missing))
        return "torn wrapping, no book"

    _, missing = box_lifecycle.finish(delivered, "1", why=why, now=NOW, station="test")
    assert asked == [len(missing)]
    with delivered.reading() as records:
        found = reconcile(records, "R-1")
        lines = records.all(Discrepancy)
    assert {line.copy for line in lines} == {copy.accession for copy in missing}
    assert all((line.reason, line.kind) == ("torn wrapping, no book", DiscrepancyKind.MISSING) for line in lines)
    assert [fault.number for fault in found.faults] == ["B1-56"]
    assert (found.faults[0].what, found.faults[0].pictures) == ("carton crushed; seal Q1: broken", 1)
    assert [box.number for box in found.still_closed] == ["B2-47"]
    undo(delivered, station="test")
    with delivered.reading() as records:
        assert records.all(Discrepancy) == ()


def test_a_complete_box_asks_nothing(delivered: Library) -> None:
    with delivered.reading() as records:
        copies = copies_in_box(records, "B2-47")
    for copy in copies:
        scan(delivered, "2", copy.accession)
    _, missing = box_lifecycle.finish(delivered, "2", why=lambda _: pytest.fail("asked"), now=NOW, station="test")
    assert missing == ()


def test_a_missing_copy_that_turns_up_is_missing_no_more_and_said_where(delivered: Library) -> None:
    _, missing = box_lifecycle.finish(delivered, "1", now=NOW, station="test")
    scan(delivered, "2", missing[0].accession)
    with delivered.reading() as records:
        found = reconcile(records, "R-1")
    assert missing[0].accession not in {line.number for line in found.lines}
    (line,) = found.found_since
    assert (line.number, line.since, line.reason) == (missing[0].accession, "in box B2-47", box_lifecycle.NO_REASON)
    assert [(one.number, one.found_in, one.listed_in) for one in found.found_elsewhere] == [
        (missing[0].accession, "B2-47", "B1-56")
    ]
    assert f"Missing: {len(missing) - 1}" in found.totals[0]


def test_damage_is_recorded_of_what_was_taken_out(delivered: Library) -> None:
    with delivered.reading() as records:
        copy = copies_in_box(records, "B1-56")[0]
    with pytest.raises(RefusedError, match="unpack it first"):
        record_damage(delivered, copy.accession, "wet", now=NOW, station="test")
    scan(delivered, "1", copy.accession)
    record_damage(delivered, copy.accession, "wet", now=NOW, station="test")
    with delivered.reading() as records:
        found = reconcile(records)
    assert [(line.what, line.reason) for line in found.lines] == [("damaged", "wet")]
    assert found.totals[0].startswith("Damaged: 1")


def test_what_remains_is_counted(delivered: Library) -> None:
    with delivered.reading() as records:
        copies = copies_in_box(records, "B1-56")
        before = reconcile(records)
    scan(delivered, "1", copies[0].accession)
    with delivered.reading() as records:
        after = reconcile(records)
    assert (before.seen, after.seen, after.remaining) == (0, 1, before.remaining - 1)
    assert [box.number for box in after.unpacked] == ["B1-56"]


def test_a_box_travels_in_one_consignment_at_a_time(delivered: Library) -> None:
    with pytest.raises(RefusedError, match="travels in consignment R-1"):
        consign(delivered, Consignment(reference="R-2"), ["1"], station="test")
    with delivered.reading() as records:
        assert records.get(Consignment, "R-2") is None
    consign(delivered, Consignment(reference="R-1", destination="Port Nowhere"), ["1"], station="test")
    with delivered.reading() as records:
        held = records.get(Consignment, "R-1")
    assert held is not None
    assert (held.carrier, held.destination) == ("Invented Haulage", "Port Nowhere")


def test_a_consignment_as_freight(delivered: Library) -> None:
    measure_outside(delivered, "1", (600, 400, 200), station="test")
    with delivered.reading() as records:
        found = freight(records, "R-1")
        with pytest.raises(RefusedError, match="not in this library"):
            freight(records, "R-9")
    # 60 x 40 x 20 cm / 6000 = 8 kg, less than the 9 kg it weighs; the other box was never measured.
    assert (found.sums.chargeable_g, len(found.sums.unmeasured)) == (9000, 1)
    assert found.sums.volume_m3 == pytest.approx(0.048)


def test_weighing_says_what_a_lighter_box_may_lack(delivered: Library) -> None:
    with delivered.reading() as records, pytest.raises(RefusedError, match="not in this library"):
        weigh_box(records, "99")
    record_mass(delivered, "1", 9050, station="test")
    with delivered.reading() as records:
        weighed = weigh_box(records, "1")
    assert weighed.by_packing is not None
    assert weighed.by_packing.verdict is WeightVerdict.AGREES
    assert words_of(weighed.by_packing).startswith("Agrees")
    record_mass(delivered, "1", 6000, station="test")
    with delivered.reading() as records:
        lighter = weigh_box(records, "1").by_packing
    assert lighter is not None
    assert lighter.verdict is WeightVerdict.LIGHTER
    assert words_of(lighter).startswith("Lighter: 3000 g less")
    assert all(len(row) == 2 for row in explanation_rows(lighter, weighed.titles))


def test_an_unweighed_box_says_how_to_weigh_it(library: Library) -> None:
    with library.reading() as records, pytest.raises(RefusedError, match="never been weighed"):
        weigh_box(records, "1")


def test_a_parcel_is_looked_for_among_what_nobody_has_seen(delivered: Library) -> None:
    with delivered.reading() as records:
        every = {copy.accession for copy, _ in all_copies(records) if copy.state is CopyState.PACKED}
        looked = look_into(records, "1", mass_g=1500, scale_g=10)
    assert {key for guess in looked.answer.guesses for key in guess.keys} <= every
    assert looked.words


def test_a_claim_is_computed_and_printed_with_its_periods(delivered: Library) -> None:
    box_lifecycle.finish(delivered, "1", now=NOW, station="test")
    terms = LiabilityTerms(regime=REGIMES["hague-visby"], currency="EUR", rate=Decimal("1.2"), rate_on=TODAY)
    with delivered.reading() as records:
        claim = plan_claim(records, "R-1", ClaimRequest(terms=terms, insured=Decimal(10)), today=TODAY)
        with pytest.raises(UsageError, match="not a code of ISO 4217"):
            plan_claim(records, "R-1", ClaimRequest(terms=replace(terms, currency="euros")), today=TODAY)
    assert claim.owed is not None
    assert claim.owed.limit == Decimal("800.00")
    assert claim.owed.most + claim.owed.gap == claim.owed.loss
    paper = limits_paper(claim, today=TODAY)
    assert paper.periods[0][1] == f"{TODAY}: today"
    assert dict(claim_sums(claim))["Rate of the limit"] == f"1 SDR = 1.2 EUR, on {TODAY}"


def test_a_claim_needs_a_day_of_delivery(library: Library) -> None:
    consign(library, Consignment(reference="R-3"), ["1"], station="test")
    terms = LiabilityTerms(regime=REGIMES["montreal"], currency="EUR", rate=Decimal(1))
    with library.reading() as records:
        waiting = plan_claim(records, "R-3", ClaimRequest(terms=terms, delivered=TODAY), today=TODAY)
    assert (waiting.periods, waiting.never_came) == ((), ("B1-56",))
    box_lifecycle.check_in(library, "1", station="test")
    with library.reading() as records:
        with pytest.raises(RefusedError, match="no day of delivery"):
            plan_claim(records, "R-3", ClaimRequest(terms=terms), today=TODAY)
        claim = plan_claim(records, "R-3", ClaimRequest(terms=terms, delivered=TODAY), today=TODAY)
    assert claim.owed is None
    assert claim_sums(claim)[0][1].startswith("nothing is missing")


def test_a_new_copy_is_on_no_list(delivered: Library) -> None:
    new = Scan("1-85798-218-5", "new")
    copy = booked(
        book_scan(delivered, "2", new, choose=lambda question: question.options[-1], station="test", now=NOW)
    ).copy
    with delivered.reading() as records:
        found = reconcile(records)
    assert [(one.number, one.found_in, one.listed_in) for one in found.found_elsewhere] == [
        (copy.accession, "B2-47", "on no list")
    ]
    assert [one.surplus for one in found.found_elsewhere] == [True]
    assert found.totals == ("Surplus: 1 on no list, in no sum",)


def test_a_book_on_no_list_that_the_query_pile_decides_is_in_the_report(delivered: Library) -> None:
    """One of an edition that the catalog has, one of an edition that it has not; a listed copy beside them is none."""
    of_listed = queued(scan(delivered, "2", "1-85798-218-5")).query
    of_new = queued(scan(delivered, "2", "9780110002224")).query
    listed = queued(scan(delivered, "1", "978-3-16-148410-0")).query
    gone = queued(scan(delivered, "2", "9790000000001")).query
    with delivered.reading() as records:
        item, own = query_pile.find_query(records, of_listed.id), query_pile.find_query(records, listed.id)
    decide = partial(query_pile.decide, delivered, station="test", now=NOW)
    new_copy = next(option for option in item.options if option.act is Disposition.NEW_COPY)
    first = decide(of_listed.id, new_copy).copy
    decide(listed.id, own.options[0])
    edition = Edition(id=0, title="Lichens by Lamplight", number="9780110002224")
    second = query_pile.decide_new_edition(delivered, of_new.id, edition, station="test", now=NOW).copy
    query_pile.decide_new_edition(delivered, gone.id, replace(edition, number=None), station="test", now=NOW)
    undo(delivered, station="test")
    with delivered.reading() as records:
        found = reconcile(records, "R-1").found_elsewhere
    on_no_list = [(one.number, one.title, one.found_in) for one in found if one.listed_in == "on no list"]
    assert on_no_list == [
        (first.accession, "A Guide to Gulls", "B2-47"),
        (second.accession, "Lichens by Lamplight", "B2-47"),
    ]
    assert [one.listed_in for one in found if one.number not in (first.accession, second.accession)] == ["B2-47"]


def test_mass_lost_on_the_way_is_on_the_report_and_in_the_letter(delivered: Library) -> None:
    """By hand: 9.00 kg at packing, 7.76 kg on arrival; box 2 is within the scale, and box 1 by one judgement."""
    record_mass(delivered, "1", 7760, as_weighed=True, station="test")
    record_mass(delivered, "2", 8950, as_weighed=True, station="test")
    with delivered.reading() as records:
        report = reconcile(records, "R-1")
        letter = notice_content(records, "R-1", on=TODAY)
        weighings = [weigh_box(records, box).by_packing for box in ("1", "2")]
        boxes = [records.get(Box, number) for number in ("B1-56", "B2-47")]
    assert [fault.number for fault in report.faults] == ["B1-56"]
    assert report.faults[0].what.endswith("; mass 9.00 kg at packing, 7.76 kg on arrival (1240 g less)")
    assert letter.faults == report.faults
    # What the papers say is what weighing says.
    for box, told in zip(boxes, weighings, strict=True):
        assert box is not None
        assert told is not None
        judged = mass_change(box)
        assert judged is not None
        assert (judged.verdict, judged.difference.mean) == (told.verdict, told.difference.mean)
        assert judged.difference.sigma == pytest.approx(told.difference.sigma)


def test_a_sound_box_that_lost_mass_is_reason_enough_for_a_letter(delivered: Library) -> None:
    with delivered.reading() as records:
        before = {fault.number for fault in reconcile(records, "R-1").faults}
    record_mass(delivered, "2", 7000, as_weighed=True, station="test")
    with delivered.reading() as records:
        after = {fault.number: fault.what for fault in notice_content(records, "R-1", on=TODAY).faults}
    assert after.keys() - before == {"B2-47"}
    assert after["B2-47"] == "mass 9.00 kg at packing, 7.00 kg on arrival (2000 g less)"
