"""The boxes themselves, and the consignment they travel in."""

import re
from collections.abc import Iterable
from dataclasses import replace

from intake.edges.store.queries.boxes import first_deliveries
from intake.edges.store.queries.copies import CopyPair
from intake.edges.store.queries.lists import boxes_of_no_consignment
from intake.edges.store.queries.papers import contents_of_boxes
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.columns import Cells, ListColumn
from intake.flow.lists.lot_plan import LotPlan, SeenLines
from intake.flow.lists.reasons import BadRow, CellError, Facts, RowReason, bad_row
from intake.identifiers import own
from intake.model.boxes import Box, Consignment
from intake.model.changes import Change
from intake.model.identifiers import OwnKind, Rejection
from intake.units.convert import kg_text
from intake.weighing.plausible import GrossFault, packed_g, too_light

BOX_COLUMNS = (
    ListColumn("box", ("box number", "number", "carton"), required=True),
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
)

_UNDIVIDED = re.compile(r"[Bb]\s*([0-9]{3,})")
"""A letter and digits: a box's number with its check digits, or just how a person writes the number."""

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
        raise CellError(RowReason.BOX_NUMBER_REJECTED, text=text, why=number.reason)
    return number.number


def parse_consignment(cells: Cells) -> Consignment:
    """Read the row of a consignment.

    Raises:
        CellError: no reference, or a date that is not one.
    """
    if not cells.text("reference"):
        raise CellError(RowReason.EMPTY, field="reference")
    return Consignment(
        reference=cells.text("reference"),
        consignor=cells.text("consignor"),
        consignee=cells.text("consignee"),
        carrier=cells.text("carrier"),
        origin=cells.text("origin"),
        destination=cells.text("destination"),
        dispatched=cells.day("dispatched"),
    )


class ConsignmentPlanner:
    """Plans consignments; if the list has just one, the boxes that belong to none yet are put into it."""

    def __init__(self, reader: LibraryReader) -> None:
        self._reader = reader
        self._references: list[str] = []

    def plan(self, rows: Iterable[tuple[int, Consignment]]) -> LotPlan:
        """Plan the next rows."""
        listed = list(rows)
        consignments = [consignment for _, consignment in listed]
        self._references += [row.reference for row in consignments]
        stored = self._reader.get_many(Consignment, (row.reference for row in consignments))
        delivered = first_deliveries(self._reader, [row.reference for row in consignments])
        lot = LotPlan()
        for line, row in listed:
            first = delivered.get(row.reference)
            if row.dispatched is not None and first is not None and first[1] < row.dispatched:
                facts = {"dispatched": row.dispatched.isoformat(), "box": first[0], "delivered": first[1].isoformat()}
                lot.bad.append(BadRow(line, RowReason.DELIVERED_BEFORE_DISPATCH, facts))
                continue
            lot.take(line, row.reference, stored.get(row.reference), row)
        return lot

    def finish(self) -> LotPlan:
        """Plan the boxes that travel in the only consignment."""
        if len(self._references) != 1:
            return LotPlan()
        reference = self._references[0]
        alone = boxes_of_no_consignment(self._reader)
        return LotPlan([Change(box, replace(box, consignment=reference)) for box in alone])
