"""The boxes themselves, and the consignment they travel in."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, merged
from intake.model.boxes import Box, Consignment
from intake.model.changes import Change

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


def plan_boxes(
    rows: Iterable[tuple[int, Box]],
    *,
    box_number: Callable[[str], str],
    held_box: Callable[[str], Box | None],
    consignment: Callable[[str], Consignment | None],
) -> tuple[list[Change], list[BadRow], int]:
    """Plan what a list of boxes changes; a box keeps its state. `box_number` raises `CellError`.

    Returns:
        The changes, the rows that cannot be used, and the count of rows that change nothing.
    """
    changes: list[Change] = []
    bad: list[BadRow] = []
    lines: dict[str, int] = {}
    unchanged = 0
    for line, typed in rows:
        try:
            row = replace(typed, number=box_number(typed.number))
        except CellError as reason:
            bad.append(BadRow(line, str(reason)))
            continue
        if row.number in lines:
            bad.append(BadRow(line, f"names box {row.number} again, after line {lines[row.number]}"))
            continue
        lines[row.number] = line
        if row.consignment and consignment(row.consignment) is None:
            bad.append(BadRow(line, f"consignment {row.consignment!r} is not recorded; import it first"))
            continue
        before = held_box(row.number)
        after = row if before is None else merged(before, row, keep=("state",))
        if after == before:
            unchanged += 1
        else:
            changes.append(Change(before, after))
    return changes, bad, unchanged


def parse_consignment(cells: Cells) -> Consignment:
    """Read the row of a consignment.

    Raises:
        CellError: no reference, or a date that is not one.
    """
    if not cells.text("reference"):
        raise CellError("reference is empty")
    return Consignment(
        reference=cells.text("reference"),
        consignor=cells.text("consignor"),
        consignee=cells.text("consignee"),
        carrier=cells.text("carrier"),
        origin=cells.text("origin"),
        destination=cells.text("destination"),
        dispatched=cells.day("dispatched"),
    )


def plan_consignments(
    rows: Iterable[tuple[int, Consignment]],
    *,
    held: Callable[[str], Consignment | None],
    boxes_without: Iterable[Box],
) -> tuple[list[Change], list[BadRow], int]:
    """Plan a consignment; the boxes that belong to none yet travel in it where the list holds just one."""
    changes: list[Change] = []
    unchanged = 0
    consignments = [consignment for _, consignment in rows]
    for row in consignments:
        before = held(row.reference)
        after = row if before is None else merged(before, row)
        if before == after:
            unchanged += 1
        else:
            changes.append(Change(before, after))
    if len(consignments) == 1:
        reference = consignments[0].reference
        changes += [Change(box, replace(box, consignment=reference)) for box in boxes_without]
    return changes, [], unchanged
