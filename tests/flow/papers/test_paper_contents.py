"""What labels, packing lists and inventories of the small library say, copy by copy."""

from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.flow.moving import box_lifecycle
from intake.flow.moving.consignments import consign
from intake.flow.papers.paper_contents import (
    box_labels,
    by_serial,
    condition_words,
    copy_flags,
    inventory,
    inventory_rows,
    master_list,
    packing_list,
)
from intake.model.boxes import Box, Consignment
from intake.model.editions import Copy, Grade

TODAY = date(2026, 3, 31)


def packed(library: Library) -> Library:
    third = Box(number="", room="Hall", tare_g=800, length_mm=400, width_mm=300, height_mm=200)
    box_lifecycle.open_box(library, third, station="test")
    box_lifecycle.close_box(library, "1", gross_g=9000, seal="Q1", station="test")
    parties = Consignment(reference="R-1", carrier="Invented Haulage", consignee="Bo Lind")
    consign(library, parties, ["2", "1"], station="test")
    return library


def test_slips_for_copies(library: Library) -> None:
    with library.reading() as records:
        copies = by_serial(copy for copy, _ in records.copies())
        flags = copy_flags(records, copies)
    assert [flag["number"] for flag in flags] == ["A1-59", "A2-50", "A3-41", "A4-32", "A5-23"]
    assert [flag["set"] for flag in flags] == ["Ferns", "", "", "", "Ferns"]
    assert flags[0]["title"] == "Ferns of the Outer Isles"
    assert (flags[0]["isbn"], flags[3]["isbn"], flags[0]["box"]) == ("978-0-306-40615-7", "", "B1-56")


def test_copies_are_sorted_by_their_serial_number() -> None:
    copies = [Copy(accession=number, edition_id=1) for number in ("A10-75", "A9-84", "A2-50")]
    assert [copy.accession for copy in by_serial(copies)] == ["A2-50", "A9-84", "A10-75"]


def test_labels_of_boxes(library: Library) -> None:
    with packed(library).reading() as records:
        labels = box_labels(records, sorted(records.boxes(), key=lambda box: box.number))
    assert [(label["box"], label["box_of"], label["consignment"]) for label in labels] == [
        ("1", "1 of 2", "R-1"), ("2", "2 of 2", "R-1"), ("3", "", ""),
    ]  # fmt: skip
    assert [label["mass"] for label in labels] == ["9.00 kg", "", ""]
    assert [label["count"].split(" ")[0] for label in labels] == ["4", "1", "0"]
    assert labels[1]["count"] != labels[0]["count"].replace("4", "1")


def test_packing_lists(library: Library) -> None:
    with packed(library).reading() as records:
        first, third = (packing_list(records, box, on=TODAY) for box in records.boxes() if box.number[1] in "13")
    assert [line.number for line in first.lines] == ["A1-59", "A2-50", "A3-41", "A4-32"]
    assert (first.consignment, first.consignee, first.carrier, first.box_of) == (
        "R-1",
        "Bo Lind",
        "Invented Haulage",
        "1 of 2",
    )
    # Box 1 has no tare: its net mass is not known.
    assert (first.package.gross_g, first.package.net_g, first.package.quantity, first.package.seal) == (
        9000,
        None,
        4,
        "Q1",
    )
    assert (third.consignment, third.consignee, third.box_of, third.lines) == ("", "", "", ())
    assert third.package.size_mm == (400, 300, 200)


def test_the_net_mass_is_the_gross_mass_without_the_box(library: Library) -> None:
    packed(library)
    box_lifecycle.pack(library, "3", "G2", station="test")
    box_lifecycle.close_box(library, "3", gross_g=3000, station="test")
    with library.reading() as records:
        box = next(box for box in records.boxes() if box.number.startswith("B3"))
        assert packing_list(records, box, on=TODAY).package.net_g == 2200


def test_the_list_of_all_boxes(library: Library) -> None:
    with packed(library).reading() as records:
        consignment = records.consignment("R-1")
        assert consignment is not None
        found = master_list(records, consignment, on=TODAY)
    assert [(package.number, package.quantity) for package in found.packages] == [("B1-56", 4), ("B2-47", 1)]
    assert (found.reference, found.consignee, found.carrier) == ("R-1", "Bo Lind", "Invented Haulage")


def test_an_inventory_has_a_row_for_every_copy_and_no_zero_for_an_unknown_value(library: Library) -> None:
    with library.reading() as records:
        found = inventory(records, purpose="inventory", on=TODAY)
        assert (found.ledger_seq, found.ledger_head) == (records.counts().entries, records.head())
    rows = inventory_rows(found)
    assert [(row[0], row[7], row[8], row[9]) for row in rows] == [
        ("A1-59", Decimal("120.00"), "EUR", "market"), ("A2-50", None, "", ""),
        ("A3-41", Decimal("4.50"), "EUR", "replacement"), ("A4-32", Decimal(900), "USD", "agreed"),
        ("A5-23", Decimal("130.00"), "EUR", "market"),
    ]  # fmt: skip
    assert [row[10] for row in rows][:2] == [date(2026, 1, 15), None]
    assert all(str(row[6]).startswith("box B") for row in rows)


def test_a_condition_in_words() -> None:
    plain = Copy(accession="A1-59", edition_id=1)
    assert condition_words(plain) == "not inspected"
    full = Copy(accession="A1-59", edition_id=1, grade=Grade.FINE, has_jacket=False, condition="spine: faded")
    assert condition_words(full) == "F/no jacket; spine: faded"
    wrapped = condition_words(Copy(accession="A1-59", edition_id=1, wrapped=True))
    assert wrapped.startswith("not inspected; ")
