"""What labels, packing lists and inventories of the small library say, copy by copy."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.flow.moving import box_lifecycle
from intake.flow.moving.consignments import consign
from intake.flow.moving.pack_copies import pack
from intake.flow.papers.box_papers import gather_box_labels, gather_master_list, gather_packing_lists
from intake.flow.papers.copy_words import condition_words
from intake.flow.papers.inventory_paper import gather_inventory, tabulate_inventory
from intake.flow.papers.label_papers import gather_copy_flags
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.model.boxes import Box, Consignment
from intake.model.currencies import Money
from intake.model.editions import Copy, Grade

TODAY = date(2026, 3, 31)


def packed(library: Library) -> Library:
    third = Box(number="", room="Hall", tare_g=800, length_mm=400, width_mm=300, height_mm=200)
    box_lifecycle.open_box(library, third, station="test")
    box_lifecycle.close_box(library, "1", gross_g=9000, seal="Q1", station="test")
    parties = Consignment(reference="R-1", carrier="Invented Haulage", consignee="Bo Lind")
    consign(library, parties, ["2", "1"], station="test")
    return library


def source(library: Library) -> Iterator[PaperSource]:
    with library.reading() as reader:
        yield PaperSource(library, reader, TODAY, PaperFormat.PDF)


def test_slips_for_copies(library: Library) -> None:
    chosen = PaperOptions(copies=("5", "1", "2", "3", "4"), template="a4-4x2")
    (gathered,) = (gather_copy_flags(each, chosen) for each in source(library))
    flags = {flag["number"]: flag for flag in gathered.contents}
    assert sorted(flags) == ["A1-59", "A2-50", "A3-41", "A4-32", "A5-23"]
    assert {number for number, flag in flags.items() if flag["set"] == "Ferns"} == {"A1-59", "A5-23"}
    first = flags["A1-59"]
    assert first["title"] == "Ferns of the Outer Isles"
    assert (first["isbn"], flags["A4-32"]["isbn"], first["box"]) == ("978-0-306-40615-7", "", "B1-56")


def test_labels_of_boxes(library: Library) -> None:
    (gathered,) = (gather_box_labels(each, PaperOptions(template="a4-2x4")) for each in source(packed(library)))
    labels = gathered.contents
    assert [(label["box"], label["box_of"], label["consignment"]) for label in labels] == [
        ("1", "1 of 2", "R-1"), ("2", "2 of 2", "R-1"), ("3", "", ""),
    ]  # fmt: skip
    assert [label["mass"] for label in labels] == ["9.00 kg", "2 kg estimated", ""]
    assert [label["count"] for label in labels] == ["4 copies", "1 copy", "0 copies"]


def test_packing_lists(library: Library) -> None:
    (gathered,) = (gather_packing_lists(each, PaperOptions(boxes=("1", "3"))) for each in source(packed(library)))
    first, third = gathered
    assert [line.number for line in first.lines] == ["A1-59", "A2-50", "A3-41", "A4-32"]
    assert (first.consignment, first.consignee, first.carrier) == ("R-1", "Bo Lind", "Invented Haulage")
    assert first.box_of == "1 of 2"
    # Box 1 has no tare: its net mass is not known.
    assert (first.package.gross_g, first.package.net_g) == (9000, None)
    assert (first.package.quantity, first.package.seal) == (4, "Q1")
    assert (third.consignment, third.consignee, third.box_of, third.lines) == ("", "", "", ())
    assert (third.package.size_mm, third.package.inner_mm) == (None, (400, 300, 200))


def test_the_net_mass_is_the_gross_mass_without_the_box(library: Library) -> None:
    packed(library)
    pack(library, "3", "G2", station="test")
    box_lifecycle.close_box(library, "3", gross_g=3000, station="test")
    (gathered,) = (gather_packing_lists(each, PaperOptions(boxes=("3",))) for each in source(library))
    assert gathered[0].package.net_g == 2200


def test_the_list_of_all_boxes(library: Library) -> None:
    (master,) = (gather_master_list(each, PaperOptions(reference="R-1")) for each in source(packed(library)))
    assert [(package.number, package.quantity) for package in master.packages] == [("B1-56", 4), ("B2-47", 1)]
    assert (master.reference, master.consignee, master.carrier) == ("R-1", "Bo Lind", "Invented Haulage")


def test_an_inventory_has_a_row_for_every_copy_and_no_zero_for_an_unknown_value(library: Library) -> None:
    for each in source(library):
        inventory = gather_inventory(each, PaperOptions())
        entries, head = count_records(each.reader).entries, ledger_head(each.reader)
    assert (inventory.ledger_seq, inventory.ledger_head) == (entries, head)
    table = tabulate_inventory(inventory, PaperOptions())
    rows = [dict(zip(table.header, row, strict=True)) for row in table.rows]
    assert [(row["Copy"], row["Amount"], row["Currency"], row["Basis"]) for row in rows] == [
        ("A1-59", Money(Decimal("120.00"), "EUR"), "EUR", "market"), ("A2-50", None, "", ""),
        ("A3-41", Money(Decimal("4.50"), "EUR"), "EUR", "replacement"),
        ("A4-32", Money(Decimal(900), "USD"), "USD", "agreed"),
        ("A5-23", Money(Decimal("130.00"), "EUR"), "EUR", "market"),
    ]  # fmt: skip
    assert [row["Valued on"] for row in rows][:2] == [date(2026, 1, 15), None]
    assert all(str(row["Where"]).startswith("box B") for row in rows)
    # What a line is priced and joined back by.
    with_number = {(row["ISBN"], row["Publisher"], row["Year"]) for row in rows if row["ISBN"]}
    assert with_number


def test_a_condition_in_words() -> None:
    plain = Copy(accession="A1-59", edition_id=1)
    assert condition_words(plain) == "not inspected"
    full = Copy(accession="A1-59", edition_id=1, grade=Grade.FINE, has_jacket=False, condition="spine: faded")
    assert condition_words(full) == "F/no jacket; spine: faded"
    wrapped = condition_words(Copy(accession="A1-59", edition_id=1, wrapped=True))
    assert wrapped.startswith("not inspected; ")
