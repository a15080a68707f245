"""Records of the library, made into the texts and numbers that the documents print."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from intake.documents import disclaimers
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies, copies_in_box
from intake.edges.store.queries.ledger_entries import count_records, ledger_head
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.values import latest_valuations
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import edition_words, path_words, volume_words, written_number
from intake.flow.papers.proofs import proof_now
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, Consignment
from intake.model.editions import BookSet, Copy, Edition
from intake.model.papers import Inventory, InventoryLine, LabelContent, MasterList, Package, PackedLine, PackingList
from intake.units.convert import kg_text
from intake.valuing import proof
from intake.valuing.condition import grade_words

BOX_MARKS = "Keep dry. This way up."
"""Handling marks by their names in ISO 780: paper suffers from damp, and books packed spine down from being turned."""

CONTENTS = "Printed books, bound"


def by_serial(copies: Iterable[Copy]) -> list[Copy]:
    """Sort copies by their own number, A9 before A10."""
    return sorted(copies, key=lambda copy: serial_of(copy.accession))


def copy_flags(records: LibraryReader, copies: Iterable[Copy]) -> list[LabelContent]:
    """Say what the slip laid into each copy says."""
    contents: list[LabelContent] = []
    for copy in copies:
        edition = records.get(Edition, copy.edition_id)
        if edition is None:
            continue
        book_set = records.get(BookSet, edition.set_id) if edition.set_id is not None else None
        contents.append(
            {
                "number": copy.accession,
                "shelfmark": copy.shelfmark,
                "title": edition.title,
                "contributors": "; ".join(edition.contributors),
                "volume": volume_words(edition),
                "set": book_set.title if book_set else "",
                "edition": edition_words(edition),
                "isbn": written_number(edition),
                "box": copy.box or "",
                "note": copy.note,
            }
        )
    return contents


def box_labels(records: LibraryReader, boxes: Sequence[Box]) -> list[LabelContent]:
    """Say what each box's label says."""
    contents: list[LabelContent] = []
    for box in boxes:
        count = len(copies_in_box(records, box.number))
        contents.append(
            {
                "number": box.number,
                "box": str(serial_of(box.number)),
                "room": box.room,
                "count": f"{count} {'copy' if count == 1 else 'copies'}",
                "mass": kg_text(box.gross_g) if box.gross_g is not None else "",
                "consignment": box.consignment or "",
                "box_of": _box_of(records, box),
                "marks": BOX_MARKS,
                "caution": disclaimers.lifting(box.gross_g),
                "note": box.note,
            }
        )
    return contents


def packing_list(records: LibraryReader, box: Box, *, on: date) -> PackingList:
    """Say what a box's packing list says."""
    consignment = records.get(Consignment, box.consignment) if box.consignment else None
    lines: list[PackedLine] = []
    for copy in by_serial(copies_in_box(records, box.number)):
        edition = records.get(Edition, copy.edition_id)
        if edition is not None:
            lines.append(_packed_line(copy, edition))
    return PackingList(
        package=_package(records, box),
        lines=tuple(lines),
        consignment=box.consignment or "",
        consignee=consignment.consignee if consignment else "",
        carrier=consignment.carrier if consignment else "",
        box_of=_box_of(records, box),
        on=on,
        note=box.note,
    )


def master_list(records: LibraryReader, consignment: Consignment, *, on: date) -> MasterList:
    """Say what the consignment's list of all boxes says."""
    boxes = sorted(list_boxes(records, consignment.reference), key=lambda box: serial_of(box.number))
    return MasterList(
        reference=consignment.reference,
        packages=tuple(_package(records, box) for box in boxes),
        consignor=consignment.consignor,
        consignee=consignment.consignee,
        carrier=consignment.carrier,
        origin=consignment.origin,
        destination=consignment.destination,
        on=on,
    )


def inventory(records: LibraryReader, *, purpose: str, owner: str = "", on: date) -> Inventory:
    """Say what a valued inventory of all copies says; each copy has its latest valuation, on any basis."""
    values = latest_valuations(records)
    places = {number: path_words(path) for number, path in place_paths(records).items()}
    lines: list[InventoryLine] = []
    for copy, edition in sorted(all_copies(records), key=lambda pair: serial_of(pair[0].accession)):
        value = values.get(copy.accession)
        lines.append(
            InventoryLine(
                number=copy.accession,
                title=edition.title,
                contributors="; ".join(edition.contributors),
                volume=edition.volume,
                edition=edition_words(edition),
                condition=condition_words(copy),
                where=places.get(copy.place or "") or (f"box {copy.box}, {copy.state}" if copy.box else copy.state),
                amount=value.amount if value else None,
                currency=value.currency if value else "",
                basis=value.basis if value else None,
                source=value.source if value else "",
                valued_on=value.on if value else None,
            )
        )
    return Inventory(
        purpose=purpose,
        on=on,
        lines=tuple(lines),
        owner=owner,
        ledger_seq=count_records(records).entries,
        ledger_head=ledger_head(records),
        proof=proof.to_text(proof_now(records, purpose, on=on)),
    )


INVENTORY_HEADER = (
    "Copy",
    "Title",
    "Volume",
    "Contributors",
    "Edition",
    "Condition",
    "Where",
    "Amount",
    "Currency",
    "Basis",
    "Valued on",
    "Source",
)


def inventory_rows(inventory: Inventory) -> list[tuple[str | Decimal | date | None, ...]]:
    """Return an inventory as the rows of a table; a copy without a value has an empty cell, never a zero."""
    return [
        (
            line.number,
            line.title,
            line.volume,
            line.contributors,
            line.edition,
            line.condition,
            line.where,
            line.amount,
            line.currency,
            line.basis.value if line.basis else "",
            line.valued_on,
            line.source,
        )
        for line in inventory.lines
    ]


def condition_words(copy: Copy) -> str:
    """Write the condition as the trade does: book over jacket, then what is always stated.

    A copy that nobody inspected claims nothing.
    """
    grade = grade_words(copy.grade, copy.jacket, has_jacket=copy.has_jacket)
    wrapped = "wrapped, unopened" if copy.wrapped else ""
    return "; ".join(part for part in (grade, wrapped, copy.condition) if part)


def _packed_line(copy: Copy, edition: Edition) -> PackedLine:
    return PackedLine(
        number=copy.accession,
        title=edition.title,
        contributors="; ".join(edition.contributors),
        volume=edition.volume,
        edition=edition_words(edition),
        mass_g=edition.mass_g,
    )


def _package(records: LibraryReader, box: Box) -> Package:
    net = box.gross_g - box.tare_g if box.gross_g is not None and box.tare_g is not None else None
    return Package(
        number=box.number,
        contents=CONTENTS,
        quantity=len(copies_in_box(records, box.number)),
        marks=BOX_MARKS,
        seal=box.seal,
        room=box.room,
        net_g=net,
        gross_g=box.gross_g,
        size_mm=box.outer_mm or box.inner_mm,
    )


def _box_of(records: LibraryReader, box: Box) -> str:
    """Write which box of how many this is ("3 of 6"); empty for a box in no consignment."""
    if box.consignment is None:
        return ""
    numbers = sorted((other.number for other in list_boxes(records, box.consignment)), key=serial_of)
    return f"{numbers.index(box.number) + 1} of {len(numbers)}"
