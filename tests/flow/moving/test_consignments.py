"""A consignment as freight: sums and what is not known, by hand."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.flow.moving import box_lifecycle
from intake.flow.moving.consignments import consign, freight, measure_outside
from intake.model.boxes import Box, Consignment
from intake.model.changes import Action, ActionKind, Change


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


def test_what_each_box_is_charged_for(travelling: Library) -> None:
    with travelling.reading() as records:
        found = freight(records, "R-1")
    assert [line.box.number[:2] for line in found.lines] == ["B1", "B2", "B3"]
    first, second, third = found.lines
    # 48 l / 6 = 8 kg, less than 9; 400 x 300 x 200 mm with the walls are 24 l, 4 kg, less than 12.
    assert (first.size_mm, first.estimated, first.chargeable_g) == ((600, 400, 200), False, 9000)
    assert (second.size_mm, second.volume_m3, second.chargeable_g) == (None, None, None)
    assert (third.size_mm, third.estimated, third.chargeable_g) == ((400, 300, 200), True, 12_000)
    assert (found.gross_g, found.chargeable_g, found.unknown) == (21_000, 21_000, 1)
    assert found.volume_m3 == pytest.approx(0.048 + 0.024)
    assert found.weight_or_measure == pytest.approx(0.072)


def test_the_divisor_and_the_step_are_the_contracts(travelling: Library) -> None:
    with travelling.reading() as records:
        found = freight(records, "R-1", divisor=4000, step_g=500)
    # 48 l / 4 = 12 kg; 12 kg as weighed.
    assert [line.chargeable_g for line in found.lines] == [12_000, None, 12_000]
    assert found.chargeable_g == 24_000
