"""Lists of boxes and consignments row by row. All invented."""

from datetime import date
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.flow.lists.boxes import ConsignmentRow, box_number, parse_box, parse_consignment
from intake.flow.lists.columns import Cells
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.outcome_words import consigned_sentence
from intake.flow.lists.reasons import CellError, RowReason
from intake.flow.moving import box_lifecycle
from intake.model.boxes import Box, BoxState, Consignment
from tests.flow.conftest import import_text


def cells(**texts: str) -> Cells:
    return Cells(texts, {field: field for field in texts})


def boxes(library: Library) -> dict[str, Box]:
    with library.reading() as records:
        return {box.number: box for box in list_boxes(records)}


def test_every_cell_of_a_box_and_of_a_consignment() -> None:
    row = cells(box="3", consignment="R-1", room="Hall", length_mm="600", width_mm="400", height_mm="300", tare_g="900",
                gross_g="15000", seal="Q1", note="maps")  # fmt: skip
    assert parse_box(row) == Box(
        number="3", consignment="R-1", room="Hall", length_mm=600, width_mm=400, height_mm=300, tare_g=900,
        gross_g=15_000, seal="Q1", note="maps",
    )  # fmt: skip
    assert parse_box(cells(box="3")) == Box(number="3")
    row = cells(reference="R-1", consignor="Ada Thorn", consignee="Bo Lind", carrier="Nowhere Lines", origin="Here",
                destination="There", dispatched="2026-02-01", boxes="1; 2")  # fmt: skip
    assert parse_consignment(row) == ConsignmentRow(
        Consignment(
            reference="R-1", consignor="Ada Thorn", consignee="Bo Lind", carrier="Nowhere Lines", origin="Here",
            destination="There", dispatched=date(2026, 2, 1),
        ),
        "1; 2",
    )  # fmt: skip
    with pytest.raises(CellError) as caught:
        parse_consignment(cells(reference="", carrier="Nowhere Lines"))
    assert (caught.value.reason, caught.value.facts) == (RowReason.EMPTY, {"field": "reference"})


@pytest.mark.parametrize("text", ["1", "B1-56", "b1-56", "box 1"])
def test_a_box_is_named_by_its_serial_or_its_number(text: str) -> None:
    assert box_number(text) == "B1-56"


@pytest.mark.parametrize("text", ["B1-57", "A1-59", "one", ""])
def test_what_is_no_box(text: str) -> None:
    with pytest.raises(CellError) as caught:
        box_number(text)
    assert caught.value.reason in (RowReason.BOX_NUMBER_REJECTED, RowReason.BOX_NUMBER_NONE)


def test_a_box_keeps_its_state_and_what_the_row_leaves_empty(library: Library, tmp_path: Path) -> None:
    box_lifecycle.close_box(library, "1", gross_g=9000, seal="Q1", station="test")
    result = import_text(library, tmp_path, ListKind.BOXES, "box,gross_g,seal,note\n1,,Q2,\n2,,,\n3,8000,,new\n")
    assert (result.made, result.altered, result.unchanged) == (1, 1, 1)
    found = boxes(library)
    assert (found["B1-56"].state, found["B1-56"].gross_g, found["B1-56"].seal, found["B1-56"].room) == (
        BoxState.CLOSED, 9000, "Q2", "Study",
    )  # fmt: skip
    assert (found["B3-38"].state, found["B3-38"].gross_g) == (BoxState.OPEN, 8000)


def test_rows_that_cannot_be_used(library: Library, tmp_path: Path) -> None:
    text = "box,consignment\n1,R-1\nB1-57,\n2,\nB2-47,\n"
    result = import_text(library, tmp_path, ListKind.BOXES, text)
    assert [(bad.line, bad.reason) for bad in result.bad_rows] == [
        (2, RowReason.CONSIGNMENT_UNKNOWN), (3, RowReason.BOX_NUMBER_REJECTED), (5, RowReason.SAME_BOX),
    ]  # fmt: skip
    assert result.bad_rows[2].facts["earlier"] == 4
    assert {box.consignment for box in boxes(library).values()} == {None}


def test_a_box_goes_into_a_consignment_that_there_is(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference\nR-1\nR-2\n")
    assert {box.consignment for box in boxes(library).values()} == {None}, "no box goes into one that names none"
    assert import_text(library, tmp_path, ListKind.BOXES, "box,consignment\n1,R-2\n").bad_rows == ()
    assert {number: box.consignment for number, box in boxes(library).items()} == {"B1-56": "R-2", "B2-47": None}


def test_a_consignment_takes_the_boxes_that_its_row_names_and_no_other(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference\nR-1\nR-2\n")
    import_text(library, tmp_path, ListKind.BOXES, "box,consignment\n1,R-2\n")
    named = "reference,carrier,boxes\nR-1,Nowhere Lines,{}\n".format
    none = import_text(library, tmp_path, ListKind.CONSIGNMENT, named(""))
    assert (none.made, none.altered, none.consigned) == (0, 1, {"R-1": []})
    assert boxes(library)["B2-47"].consignment is None
    dry = import_text(library, tmp_path, ListKind.CONSIGNMENT, named("all"), dry_run=True)
    assert dry.consigned == {"R-1": ["B2-47"]}
    assert consigned_sentence("R-1", ["B2-47"], dry_run=True) == "R-1 would get 1 box: B2-47."
    assert boxes(library)["B2-47"].consignment is None
    result = import_text(library, tmp_path, ListKind.CONSIGNMENT, named("2"))
    assert (result.made, result.altered, result.consigned) == (0, 1, {"R-1": ["B2-47"]})
    assert {number: box.consignment for number, box in boxes(library).items()} == {"B1-56": "R-2", "B2-47": "R-1"}
    again = import_text(library, tmp_path, ListKind.CONSIGNMENT, named("all"))
    assert (again.made, again.altered, again.unchanged) == (0, 0, 1)


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        ("R-1,1;9\n", RowReason.BOX_UNKNOWN),
        ("R-1,1;B1-57\n", RowReason.BOX_NUMBER_REJECTED),
        ("R-1,all\nR-2,2\n", RowReason.SAME_BOX),
        ("R-2,2\nR-3,3\n", RowReason.BOX_IN_ANOTHER),
    ],
)
def test_boxes_that_a_consignment_cannot_take(library: Library, tmp_path: Path, rows: str, reason: RowReason) -> None:
    import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference\nR-9\n")
    import_text(library, tmp_path, ListKind.BOXES, "box,consignment\n3,R-9\n")
    result = import_text(library, tmp_path, ListKind.CONSIGNMENT, f"reference,boxes\n{rows}")
    assert [bad.reason for bad in result.bad_rows] == [reason]
    assert {box.consignment for number, box in boxes(library).items() if number != "B3-38"} == {None}


def test_a_word_is_no_box_number_and_the_sentence_says_how_one_is_written() -> None:
    with pytest.raises(CellError) as caught:
        box_number("ten")
    assert caught.value.reason is RowReason.BOX_NUMBER_NONE
