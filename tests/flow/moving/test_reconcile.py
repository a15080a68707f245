"""What arrived against the lists of the small library, counted by hand."""

from datetime import date

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.errors import RefusedError
from intake.flow.moving import box_lifecycle
from intake.flow.moving.consignments import consign
from intake.flow.moving.reconcile import reconcile, record_damage
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Scan
from intake.model.boxes import CartonState, Consignment, SealState
from intake.model.sightings import Sighting
from tests.flow.conftest import NOW

TODAY = date(2026, 5, 4)


@pytest.fixture
def delivered(library: Library) -> Library:
    """Both boxes travel; the first has arrived, sound."""
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, seal=f"Q{box}", station="test")
    consign(library, Consignment(reference="R-1"), ["1", "2"], station="test")
    seen = box_lifecycle.ArrivalReport(delivered=TODAY, carton=CartonState.SOUND, seal=SealState.WHOLE)
    box_lifecycle.check_in(library, "1", seen=seen, today=TODAY, station="test")
    return library


def scan(library: Library, text: str) -> None:
    book_scan(library, "B1-56", Scan(text, text), station="test", now=NOW)


def test_boxes_by_how_far_they_are(delivered: Library) -> None:
    with delivered.reading() as records:
        before = reconcile(records, "R-1")
    assert [[box.number for box in group] for group in (before.awaited, before.still_closed, before.unpacked)] == [
        ["B2-47"], ["B1-56"], [],
    ]  # fmt: skip
    assert (before.seen, before.remaining, before.faults, before.lines, before.totals) == (0, 5, (), (), ())
    scan(delivered, "9780306406157")
    with delivered.reading() as records:
        begun = reconcile(records, "R-1")
    assert [[box.number for box in group] for group in (begun.awaited, begun.still_closed, begun.unpacked)] == [
        ["B2-47"], [], ["B1-56"],
    ]  # fmt: skip
    assert (begun.seen, begun.remaining) == (1, 4)
    again = Scan("9780306406157", "the same book once more")
    book_scan(delivered, "1", again, choose=lambda asked: asked.options[0], station="test", now=NOW)
    with delivered.reading() as records:
        after = reconcile(records, "R-1")
        assert (after.seen, after.remaining, len(records.all(Sighting))) == (1, 4, 2)


def test_what_is_missing_and_damaged_is_added_up_by_currency(delivered: Library) -> None:
    # Missing: the gulls without a value, EUR 4.50 and USD 900; damaged: EUR 120.
    scan(delivered, "9780306406157")
    with delivered.reading() as records:
        ferns = next(copy.accession for copy, edition in all_copies(records) if edition.key == "F1")
    record_damage(delivered, ferns, "boards crushed", now=NOW, station="test")
    box_lifecycle.finish(delivered, "1", now=NOW, station="test")
    with delivered.reading() as records:
        found = reconcile(records, "R-1")
    missing, damaged = found.totals
    assert missing == "Missing: 3, worth EUR 4.50 and USD 900.00 and 1 not valued"
    assert damaged == "Damaged: 1, worth EUR 120.00"
    assert {line.title for line in found.lines if line.what == "damaged"} == {"Ferns of the Outer Isles, vol. 1"}
    assert found.undecided == ""


def test_where_no_day_of_delivery_is_recorded_it_is_said_that_values_may_be_of_after_it(library: Library) -> None:
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, station="test")
    consign(library, Consignment(reference="R-1"), ["1", "2"], station="test")
    box_lifecycle.check_in(library, "2", station="test")
    box_lifecycle.finish(library, "2", now=NOW, station="test")
    with library.reading() as records:
        (ferns,) = (copy.accession for copy, edition in all_copies(records) if edition.key == "F2")
        found, dated = reconcile(records, "R-1"), reconcile(records, "R-1", delivered=TODAY)
    undated = (
        "The day of delivery is not recorded, so it is not known whether these were valued before it: "
        f"{ferns} (2026-01-15)."
    )
    assert found.totals == ("Missing: 1, worth EUR 130.00", undated)
    assert dated.totals == found.totals[:1]


def test_what_waits_on_the_pile_is_counted(delivered: Library) -> None:
    scan(delivered, "something illegible")
    with delivered.reading() as records:
        one = reconcile(records, "R-1").undecided
    scan(delivered, "something else")
    with delivered.reading() as records:
        two = reconcile(records).undecided
    assert (one[:2], two[:2]) == ("1 ", "2 ")


def test_damage_belongs_to_a_copy_that_travelled_and_was_taken_out(delivered: Library) -> None:
    with delivered.reading() as records:
        packed = copies_in_box(records, "B1-56")[0]
    with pytest.raises(RefusedError):
        record_damage(delivered, packed.accession, "wet", now=NOW, station="test")
    with pytest.raises(RefusedError), delivered.reading() as records:
        reconcile(records, "R-9")


@pytest.mark.parametrize(
    ("carton", "seal", "faults"),
    [
        (CartonState.SOUND, SealState.WHOLE, 0),
        (CartonState.NOT_LOOKED_AT, SealState.NOT_LOOKED_AT, 0),
        (CartonState.SCUFFED, SealState.WHOLE, 0),
        (CartonState.CRUSHED, SealState.WHOLE, 1),
        (CartonState.SOUND, SealState.BROKEN, 1),
    ],
)
def test_only_what_is_wrong_with_a_box_is_a_fault(
    delivered: Library, carton: CartonState, seal: SealState, faults: int
) -> None:
    seen = box_lifecycle.ArrivalReport(delivered=TODAY, carton=carton, seal=seal)
    box_lifecycle.check_in(delivered, "2", seen=seen, today=TODAY, station="test")
    with delivered.reading() as records:
        found = reconcile(records).faults
    assert len(found) == faults
    assert all(fault.number == "B2-47" and fault.pictures == 0 for fault in found)


def test_a_copy_has_one_loss_however_often_its_damage_was_recorded(delivered: Library) -> None:
    scan(delivered, "9780306406157")
    with delivered.reading() as records:
        ferns = next(copy.accession for copy, edition in all_copies(records) if edition.key == "F1")
    for damage in ("boards crushed", "jacket torn", "boards crushed"):
        record_damage(delivered, ferns, damage, now=NOW, station="test")
    with delivered.reading() as records:
        found = reconcile(records, "R-1")
    assert [line.reason for line in found.lines] == ["boards crushed; jacket torn"]
    assert found.totals == ("Damaged: 1, worth EUR 120.00",)
