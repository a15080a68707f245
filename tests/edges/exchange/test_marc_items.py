"""Copies in MARC 21: location (852) and item information (876), as libraries write them and as we do (from memory)."""

import pytest

from intake.edges.exchange.marc_fields import MarcField
from intake.edges.exchange.marc_items import copy_cells, item_fields
from intake.edges.exchange.outgoing import OutgoingCopy
from intake.edges.exchange.record_remarks import RemarkKind, Remarks
from intake.model.editions import Copy, CopyState, Grade
from tests.edges.exchange.marc_data import field, places, record

BOOK = (MarcField("001", data="S1"), field("245", "00", "aSalt"))


def test_what_is_written_of_a_copy_is_read_again() -> None:
    copy = Copy(
        accession="A127-89", edition_id=1, state=CopyState.PACKED, box="B1-56", shelfmark="Birds 12", grade=Grade.FINE,
        has_jacket=False, wrapped=True, condition="rubbed; grade: Poor", note="bought with S2",
    )  # fmt: skip
    fields = item_fields(OutgoingCopy(copy, 2, "Study: upstairs"))
    assert copy_cells(record(*BOOK, *fields), Remarks()) == [
        {
            "key": "S1", "copy": "A127-89", "shelfmark": "Birds 12", "condition": "rubbed; grade: Poor",
            "note": "bought with S2", "box": "B1-56", "room": "Study: upstairs", "printing": "2", "grade": "Fine",
            "jacket": "none", "wrapped": "yes",
        }
    ]  # fmt: skip


def test_a_copy_that_left_its_box_is_not_said_to_lie_in_it() -> None:
    copy = Copy(accession="A127-89", edition_id=1, state=CopyState.SHELVED, box="B1-56")
    (cells,) = copy_cells(record(*BOOK, *item_fields(OutgoingCopy(copy, None, "Study"))), Remarks())
    assert cells == {"key": "S1", "copy": "A127-89"}


@pytest.mark.parametrize(
    ("fields", "shelfmarks"),
    [
        ((), []),
        ((field("852", "1 ", "aXX", "h598.4", "iWIC"),), ["598.4 WIC"]),
        ((field("852", "  ", "hOne"), field("852", "  ", "hTwo")), ["One", "Two"]),
        ((field("852", "  ", "81", "hOne"), field("852", "  ", "82", "hTwo"), field("876", "  ", "82.1", "p7"),
          field("876", "  ", "81.1", "p6")), ["Two", "One"]),  # linked by $8
        ((field("852", "  ", "hOne"), field("876", "  ", "p6"), field("876", "  ", "p7")), ["One", "One"]),
        ((field("876", "  ", "p6"),), [""]),
    ],
)  # fmt: skip
def test_each_item_is_a_copy_with_the_location_it_belongs_to(
    fields: tuple[MarcField, ...], shelfmarks: list[str]
) -> None:
    found = copy_cells(record(*BOOK, *fields), Remarks())
    assert [cells.get("shelfmark", "") for cells in found] == shelfmarks


def test_what_other_libraries_say_of_items_is_named() -> None:
    remarks = Remarks()
    item = field("876", "  ", "p30001", "c12.50", "xreturned late")
    (cells,) = copy_cells(record(*BOOK, field("852", "  ", "aXX", "tc.2"), item), remarks)
    assert cells == {"key": "S1"}
    assert places(remarks, RemarkKind.LEFT_OUT) == {"852 $a", "852 $t", "876 $p", "876 $c", "876 $x"}


@pytest.mark.parametrize("text", ["12.50 GBP", "GBP 12.50", "GBP12.50"])
def test_the_cost_of_an_item_is_what_was_paid_for_it(text: str) -> None:
    remarks = Remarks()
    (cells,) = copy_cells(record(*BOOK, field("876", "  ", f"c{text}")), remarks)
    assert cells == {"key": "S1", "value": "12.50", "currency": "GBP", "basis": "purchase"}
    assert not list(remarks)


@pytest.mark.parametrize(
    ("subfields", "valued_on", "left_out"),
    [
        (("cEUR 95.00", "d20190507"), "2019-05-07", set()),
        (("cEUR 95.00", "d2019-05-07"), "2019-05-07", set()),
        (("cEUR 95.00", "d2019"), None, {"876 $d"}),
        (("cEUR 95.00", "d20190231"), None, {"876 $d"}),
        (("d20190507",), None, {"876 $d without a cost"}),
        (("c95", "d20190507"), None, {"876 $c", "876 $d without a cost"}),
    ],
)
def test_the_day_acquired_dates_the_cost(subfields: tuple[str, ...], valued_on: str | None, left_out: set[str]) -> None:
    """MARC 21 Format for Holdings Data, 876: $c cost, $d date acquired."""
    remarks = Remarks()
    (cells,) = copy_cells(record(*BOOK, field("876", "  ", *subfields)), remarks)
    assert cells.get("valued_on") == valued_on
    assert places(remarks, RemarkKind.LEFT_OUT) == left_out


def test_a_holdings_record_names_its_edition_by_its_control_number() -> None:
    holdings = (MarcField("001", data="H1"), MarcField("004", data="S1"), field("852", "  ", "hOne"))
    (cells,) = copy_cells(record(*holdings, leader="00000nx  a2200000zn 4500"), Remarks())
    assert (cells["key"], cells["shelfmark"]) == ("S1", "One")


def test_an_edition_without_a_reference_is_named_by_its_number() -> None:
    number = field("020", "  ", "a9780306406157")
    (cells,) = copy_cells(record(MarcField("001", data="edition-7"), number, field("852", "  ", "hOne")), Remarks())
    assert (cells.get("key"), cells["isbn"]) == (None, "9780306406157")
    (both,) = copy_cells(record(MarcField("001", data="S1"), number, field("852", "  ", "hOne")), Remarks())
    assert (both["key"], both["isbn"]) == ("S1", "9780306406157")
