"""A consignment as freight, by hand; no box is delivered before it is dispatched, nor lighter than its books."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from intake.carriage.freight import SizeSource
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.reasons import RowReason
from intake.flow.moving import box_lifecycle
from intake.flow.moving.box_lifecycle import ArrivalReport
from intake.flow.moving.consignments import consign, freight, measure_outside
from intake.flow.moving.freight_words import chargeable, mass_and_volume
from intake.flow.moving.weigh_box import record_mass
from intake.model.boxes import Box, Consignment
from intake.model.changes import Action, ActionKind, Change
from tests.flow.conftest import import_text

TODAY = date(2026, 3, 31)


@pytest.fixture
def travelling(library: Library) -> Library:
    """Box 1 of 9 kg, 60 x 40 x 20 cm outside; box 2 not weighed; box 3 of 12 kg, known from inside."""
    box_lifecycle.open_box(library, Box(number="", length_mm=390, width_mm=290, height_mm=190), station="test")
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    box_lifecycle.close_box(library, "2", station="test")
    with library.writing() as work:
        third = next(box for box in list_boxes(work) if box.number.startswith("B3"))
        work.apply(
            Action(ActionKind.MEASURE_BOX, third.number, "test"), (Change(third, replace(third, gross_g=12_000.0)),)
        )
    consign(library, Consignment(reference="R-1"), ["3", "1", "2", "1"], station="test")
    measure_outside(library, "1", (600, 400, 200), station="test")
    return library


def test_a_consignment_as_freight(travelling: Library) -> None:
    with travelling.reading() as records:
        found = freight(records, "R-1")
    first, second, third = (line.outer for line in found.lines)
    assert first is not None
    assert (first.size_mm, first.source) == ((600, 400, 200), SizeSource.MEASURED)
    assert second is None
    assert third is not None
    assert (third.size_mm, third.source) == ((400, 300, 200), SizeSource.ASSUMED)
    # 48 l and 24 l: 72 l / 6 = 12 kg, less than 9 + 12.
    assert (found.sums.gross_g, found.sums.volumetric_g, found.sums.chargeable_g) == (21_000, 12_000, 21_000)
    assert found.sums.volume_m3 == pytest.approx(0.072)
    assert found.sums.weight_or_measure == pytest.approx(0.072)
    words = list(mass_and_volume(found.sums))
    assert words[0] == "Of 2 boxes of known mass and size: gross mass 21.00 kg, volume 0.072 m³"
    numbers = [line.box.number for line in found.lines]
    assert [n for n in numbers if n in words[1]] == [numbers[2]], "assumed"
    assert [n for n in numbers if n in words[2]] == [n for n in numbers if n in words[3]] == [numbers[1]], "left out"


def test_the_divisor_and_the_step_are_the_contracts(travelling: Library) -> None:
    with travelling.reading() as records:
        found = freight(records, "R-1", divisor=3000, step_g=500).sums
    # 72 l / 3 = 24 kg for the consignment; box by box it would be 16 + 12 = 28.
    assert found.chargeable_g == 24_000
    sentence = next(iter(chargeable(found, divisor=3000, step_g=500)))
    assert sentence.endswith("(divisor 3000), here the volumetric, rounded up once to a multiple of 0.50 kg")


def test_of_nothing_known_nothing_is_charged(library: Library) -> None:
    consign(library, Consignment(reference="R-1"), ["1"], station="test")
    with library.reading() as records:
        found = freight(records, "R-1").sums
    assert list(chargeable(found, divisor=6000, step_g=None)) == []
    assert "not known" in next(iter(mass_and_volume(found)))


def test_a_delivery_before_the_dispatch_is_refused_from_either_side(library: Library, tmp_path: Path) -> None:
    consign(library, Consignment(reference="R-1", dispatched=date(2026, 3, 9)), ["1", "2"], station="test")
    early, on_time = (ArrivalReport(delivered=date(2026, 3, day)) for day in (8, 9))
    with pytest.raises(UsageError, match="before the dispatch"):
        box_lifecycle.check_in(library, "1", seen=early, today=TODAY, station="test")
    box_lifecycle.check_in(library, "1", seen=on_time, today=TODAY, station="test")
    with pytest.raises(UsageError, match="before the dispatch"):
        consign(library, Consignment(reference="R-1", dispatched=date(2026, 3, 10)), (), station="test")
    late = import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference,dispatched\nR-1,2026-03-10\n")
    (bad,) = late.bad_rows
    assert (bad.reason, bad.facts["delivered"]) == (RowReason.DELIVERED_BEFORE_DISPATCH, "2026-03-09")
    same = import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference,dispatched\nR-1,2026-03-09\n")
    assert same.bad_rows == ()


def test_a_dispatch_in_the_future_is_refused_from_a_list_too(library: Library, tmp_path: Path) -> None:
    ahead = TODAY + timedelta(days=1)
    with pytest.raises(UsageError, match="in the future"):
        consign(library, Consignment(reference="R-1", dispatched=ahead), ["1"], station="test", today=TODAY)
    listed = import_text(library, tmp_path, ListKind.CONSIGNMENT, f"reference,dispatched\nR-1,{ahead}\nR-2,{TODAY}\n")
    assert [(bad.line, bad.reason, bad.facts) for bad in listed.bad_rows] == [
        (2, RowReason.FUTURE_DISPATCH, {"day": "2026-04-01"})
    ]


@pytest.fixture
def weighty(library: Library, tmp_path: Path) -> Library:
    """The small library; the catalog says that two of the four books of box 1 weigh 1.5 and 2.5 kg."""
    import_text(
        library,
        tmp_path,
        ListKind.EDITIONS,
        "key,title,mass_g\nF1,Ferns of the Outer Isles,1500\nG1,A Guide to Gulls,2500\n",
    )
    return library


def test_a_box_lighter_than_its_books_is_asked_about(weighty: Library) -> None:
    with pytest.raises(RefusedError, match=r"less than its books alone, which weigh 4\.00 kg"):
        box_lifecycle.close_box(weighty, "1", gross_g=3990, station="test")
    with pytest.raises(RefusedError, match="--as-weighed"):
        record_mass(weighty, "1", 40, station="test")
    weighed = record_mass(weighty, "1", 3990, as_weighed=True, station="test")
    assert weighed is not None
    assert weighed.gross_g == 3990
    assert box_lifecycle.close_box(weighty, "1", gross_g=4000, station="test").gross_g == 4000
    with pytest.raises(RefusedError, match="books alone"):
        box_lifecycle.check_in(weighty, "1", seen=ArrivalReport(arrived_g=17.3), station="test")
    arrived = box_lifecycle.check_in(weighty, "1", seen=ArrivalReport(arrived_g=3000, as_weighed=True), station="test")
    assert arrived.arrived_g == 3000


def test_a_list_of_boxes_that_cannot_be_is_refused_row_by_row(weighty: Library, tmp_path: Path) -> None:
    rows = "box,tare_g,gross_g\n1,900,3990\n2,900,900\n3,900,901\n"
    found = import_text(weighty, tmp_path, ListKind.BOXES, rows)
    assert [(bad.line, bad.reason) for bad in found.bad_rows] == [
        (2, RowReason.GROSS_BELOW_BOOKS),
        (3, RowReason.GROSS_NOT_ABOVE_TARE),
    ]
    import_text(weighty, tmp_path, ListKind.BOXES, "box,tare_g\n2,900\n")
    (bad,) = import_text(weighty, tmp_path, ListKind.BOXES, "box,gross_g\n2,850\n").bad_rows
    assert bad.reason is RowReason.GROSS_NOT_ABOVE_TARE, "the tare that is recorded counts"
