"""The boxes themselves, and the consignment they travel in."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from intake.edges.store.queries.boxes import first_deliveries
from intake.edges.store.queries.copies import CopyPair
from intake.edges.store.queries.lists import boxes_of_no_consignment
from intake.edges.store.queries.papers import contents_of_boxes
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.columns import Cells, ListColumn, merged
from intake.flow.lists.lot_plan import LotPlan, SeenLines
from intake.flow.lists.reasons import BadRow, CellError, Facts, RowReason, bad_row
from intake.identifiers import own
from intake.model.boxes import Box, Consignment
from intake.model.changes import Change
from intake.model.identifiers import OwnKind, Rejection
from intake.units.convert import kg_text
from intake.weighing.plausible import GrossFault, packed_g, too_light

BOX_COLUMNS = (
    ListColumn("box", ("box number", "box no", "number", "carton", "carton number", "carton no"), required=True),
    ListColumn("consignment", ("carrier reference",)),
    ListColumn("room", ("destination room",)),
    ListColumn("length_mm", ("length",)),
    ListColumn("width_mm", ("width",)),
    ListColumn("height_mm", ("height",)),
    ListColumn("tare_g", ("tare", "empty mass")),
    ListColumn("gross_g", ("gross", "gross mass", "weight")),
    ListColumn("seal", ("seal number",)),
    ListColumn("note", ("notes",)),
)

CONSIGNMENT_COLUMNS = (
    ListColumn("reference", ("carrier reference",), required=True),
    ListColumn("consignor", ("sender",)),
    ListColumn("consignee", ("receiver",)),
    ListColumn("carrier", ()),
    ListColumn("origin", ("from",)),
    ListColumn("destination", ("to",)),
    ListColumn("dispatched", ("dispatch date", "date")),
    ListColumn("policy", ("policy number",)),
    ListColumn("contract", ("contract number",)),
    ListColumn("bill_of_lading", ("bill of lading", "waybill")),
    ListColumn("boxes", ("box numbers",)),
)

_UNDIVIDED = re.compile(r"[Bb]\s*([0-9]{3,})")
"""A letter and digits: a box's number with its check digits, or just how a person writes the number."""
ALL_BOXES = "all"
"""In the column of boxes: every box that is in no consignment yet."""

_TOO_LIGHT = {
    GrossFault.NOT_ABOVE_TARE: RowReason.GROSS_NOT_ABOVE_TARE,
    GrossFault.BELOW_BOOKS: RowReason.GROSS_BELOW_BOOKS,
}


def parse_box(cells: Cells) -> Box:
    """Read one row of a list of boxes; its number is as typed and not yet checked.

    Raises:
        CellError: a size or mass that is not one.
    """
    return Box(
        number=cells.text("box"),
        consignment=cells.text("consignment") or None,
        room=cells.text("room"),
        length_mm=cells.length("length_mm"),
        width_mm=cells.length("width_mm"),
        height_mm=cells.length("height_mm"),
        tare_g=cells.length("tare_g"),
        gross_g=cells.length("gross_g"),
        seal=cells.text("seal"),
        note=cells.text("note"),
    )


class BoxPlanner:
    """Plans a list of boxes; a box keeps its state."""

    def __init__(self, reader: LibraryReader) -> None:
        self._reader = reader
        self._lines = SeenLines()

    def plan(self, rows: Iterable[tuple[int, Box]]) -> LotPlan:
        """Plan the next rows."""
        lot = LotPlan()
        usable: list[tuple[int, Box]] = []
        for line, typed in rows:
            try:
                row = replace(typed, number=box_number(typed.number))
                if (earlier := self._lines.earlier((row.number,), line)) is not None:
                    raise CellError(RowReason.SAME_BOX, box=row.number, earlier=earlier)
            except CellError as error:
                lot.bad.append(bad_row(line, error))
                continue
            usable.append((line, row))
        references = {row.consignment for _, row in usable if row.consignment}
        recorded = self._reader.get_many(Consignment, references)
        stored = self._reader.get_many(Box, (row.number for _, row in usable))
        contents = contents_of_boxes(self._reader, [row.number for _, row in usable if row.gross_g is not None])
        for line, row in usable:
            if row.consignment and row.consignment not in recorded:
                lot.bad.append(BadRow(line, RowReason.CONSIGNMENT_UNKNOWN, {"text": row.consignment}))
                continue
            if (light := _too_light(row, stored.get(row.number), contents.get(row.number, ()))) is not None:
                lot.bad.append(BadRow(line, *light))
                continue
            lot.take(line, row.number, stored.get(row.number), row, keep=("state",))
        return lot

    def finish(self) -> LotPlan:
        """Plan nothing more."""
        return LotPlan()


def _too_light(row: Box, stored: Box | None, contents: Iterable[CopyPair]) -> tuple[RowReason, Facts] | None:
    """Return why the gross mass of a row cannot be right, compared with what is recorded of the box and its books."""
    if row.gross_g is None:
        return None
    tare_g = row.tare_g if row.tare_g is not None or stored is None else stored.tare_g
    light = too_light(replace(row, tare_g=tare_g), row.gross_g, packed_g(contents))
    if light is None:
        return None
    return _TOO_LIGHT[light.fault], {"gross": kg_text(row.gross_g), "least": kg_text(light.least_g)}


def box_number(text: str) -> str:
    """Return the number of a box as a list writes it: 156 is box 156, and B1-56 is box 1 with its check digits.

    Raises:
        CellError: it is not one, or B156, which may be either.
    """
    if undivided := _UNDIVIDED.fullmatch(text):
        raise CellError(RowReason.BOX_NUMBER_UNDIVIDED, text=text, digits=undivided[1])
    number = own.read(text, expect=OwnKind.BOX)
    if isinstance(number, Rejection):
        if not any(map(str.isdecimal, text)):
            raise CellError(RowReason.BOX_NUMBER_NONE, text=text)
        raise CellError(RowReason.BOX_NUMBER_REJECTED, text=text, why=number.reason)
    return number.number


@dataclass(frozen=True, slots=True)
class ConsignmentRow:
    """A consignment, and what its row names of boxes: numbers with semicolons between them, `ALL_BOXES`, or nothing."""

    consignment: Consignment
    boxes: str = ""


def parse_consignment(cells: Cells) -> ConsignmentRow:
    """Read the row of a consignment.

    Raises:
        CellError: no reference, or a date that is not one.
    """
    consignment = Consignment(
        reference=cells.given("reference"),
        consignor=cells.text("consignor"),
        consignee=cells.text("consignee"),
        carrier=cells.text("carrier"),
        origin=cells.text("origin"),
        destination=cells.text("destination"),
        dispatched=cells.day("dispatched"),
        policy=cells.text("policy"),
        contract=cells.text("contract"),
        bill_of_lading=cells.text("bill_of_lading"),
    )
    return ConsignmentRow(consignment, cells.text("boxes"))


class ConsignmentPlanner:
    """Plans consignments, and puts into each the boxes that its row names and no other.

    Args:
        reader: the library.
        today: no dispatch is later than it.
    """

    def __init__(self, reader: LibraryReader, today: date) -> None:
        self._reader = reader
        self._today = today
        self._lines = SeenLines()

    def plan(self, rows: Iterable[tuple[int, ConsignmentRow]]) -> LotPlan:
        """Plan the next rows."""
        listed = list(rows)
        references = [row.consignment.reference for _, row in listed]
        stored = self._reader.get_many(Consignment, references)
        delivered = first_deliveries(self._reader, references)
        lot = LotPlan()
        for line, named in listed:
            row = named.consignment
            first = delivered.get(row.reference)
            if row.dispatched is not None and first is not None and first[1] < row.dispatched:
                facts = {"dispatched": row.dispatched.isoformat(), "box": first[0], "delivered": first[1].isoformat()}
                lot.bad.append(BadRow(line, RowReason.DELIVERED_BEFORE_DISPATCH, facts))
                continue
            if row.dispatched is not None and row.dispatched > self._today:
                lot.bad.append(BadRow(line, RowReason.FUTURE_DISPATCH, {"day": row.dispatched.isoformat()}))
                continue
            try:
                boxes = self._boxes(line, named)
            except CellError as error:
                lot.bad.append(bad_row(line, error))
                continue
            before = stored.get(row.reference)
            after = row if before is None else merged(before, row)
            changes = [] if after == before else [Change(before, after)]
            changes += [Change(box, replace(box, consignment=row.reference)) for box in boxes]
            lot.book(line, row.reference, changes)
        return lot

    def finish(self) -> LotPlan:
        """Plan nothing more."""
        return LotPlan()

    def _boxes(self, line: int, row: ConsignmentRow) -> list[Box]:
        """Return the boxes that a row puts into its consignment and that are not in it yet.

        Raises:
            CellError: one of them is not recorded, travels in another consignment, or is named by another row.
        """
        if row.boxes.casefold() == ALL_BOXES:
            found = list(boxes_of_no_consignment(self._reader))
        else:
            numbers = dict.fromkeys(box_number(text.strip()) for text in row.boxes.split(";") if text.strip())
            stored = self._reader.get_many(Box, numbers)
            for number in numbers:
                if number not in stored:
                    raise CellError(RowReason.BOX_UNKNOWN, box=number)
            found = [stored[number] for number in numbers]
        for box in found:
            if box.consignment not in (None, row.consignment.reference):
                raise CellError(RowReason.BOX_IN_ANOTHER, box=box.number, reference=box.consignment or "")
            if (earlier := self._lines.earlier((box.number,), line)) is not None:
                raise CellError(RowReason.SAME_BOX, box=box.number, earlier=earlier)
        return [box for box in found if box.consignment is None]
