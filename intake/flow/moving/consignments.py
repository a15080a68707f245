"""Put boxes into a consignment, and compute its chargeable mass."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

from intake.carriage.freight import AIR_DIVISOR, ConsignmentFreight, OuterSize, Size, freight_of, outer_size
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box, own_number
from intake.flow.moving.deliveries import check_days, deliveries_of
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, Consignment
from intake.model.changes import Action, ActionKind, Change
from intake.model.identifiers import OwnKind

DEFAULT_DIVISOR = AIR_DIVISOR


@dataclass(frozen=True, slots=True)
class FreightLine:
    """One box as freight; `outer` is None where neither its outside nor its inside was measured."""

    box: Box
    outer: OuterSize | None


@dataclass(frozen=True, slots=True)
class Freight:
    """A consignment as freight: its boxes by number, and the sums."""

    consignment: Consignment
    lines: tuple[FreightLine, ...]
    sums: ConsignmentFreight


def consign(
    library: Library, consignment: Consignment, box_texts: Sequence[str], *, station: str, today: date | None = None
) -> Consignment:
    """Put boxes into a consignment, which is made or added to.

    Args:
        library: where it is recorded.
        consignment: its empty fields leave what is recorded as it is.
        box_texts: boxes, as typed.
        station: who does it.
        today: no dispatch is later than it.

    Raises:
        RefusedError: a box is not there, or travels in another consignment.
        UsageError: the dispatch is in the future, or after the delivery of a box.
    """
    with library.reading() as records:
        recorded = records.get(Consignment, consignment.reference)
        boxes = _find_boxes(records, box_texts)
        travelling = {box.number: box for box in (*list_boxes(records, consignment.reference), *boxes)}
    stated = {f.name: getattr(consignment, f.name) for f in fields(consignment) if getattr(consignment, f.name)}
    after = consignment if recorded is None else replace(recorded, **stated)
    check_days(after, deliveries_of(travelling.values())[0], today=today or date.max)
    changes: list[Change] = [Change(recorded, after)]
    for box in boxes:
        if box.consignment not in (None, after.reference):
            why = f"travels in consignment {box.consignment} already"
            raise RefusedError(
                f"Box {box.number}", why, "undo that first: a box is in one consignment at a time", field="box"
            )
        changes.append(Change(box, replace(box, consignment=after.reference)))
    library.apply(Action(ActionKind.CONSIGN_BOXES, after.reference, station), changes)
    return after


def _find_boxes(records: LibraryReader, box_texts: Sequence[str]) -> tuple[Box, ...]:
    """Return the boxes, each once, in the order in which they were typed."""
    numbers = dict.fromkeys(own_number(text, OwnKind.BOX) for text in box_texts)
    boxes = records.get_many(Box, numbers)
    return tuple(boxes.get(number) or find_box(records, number) for number in numbers)


def measure_outside(library: Library, box_text: str, size_mm: Size, *, station: str) -> Box:
    """Record the outer size of a box, which the carrier charges by.

    Raises:
        RefusedError: there is no such box.
    """
    with library.reading() as records:
        box = find_box(records, box_text)
    length, width, height = size_mm
    after = replace(box, outer_length_mm=length, outer_width_mm=width, outer_height_mm=height)
    library.apply(Action(ActionKind.MEASURE_BOX, box.number, station), (Change(box, after),))
    return after


def find_consignment(records: LibraryReader, reference: str) -> Consignment:
    """Return a consignment.

    Raises:
        RefusedError: there is no such consignment.
    """
    consignment = records.get(Consignment, reference)
    if consignment is None:
        known = ", ".join(consignment.reference for consignment in records.all(Consignment)) or "none yet"
        raise RefusedError(
            f"Consignment {reference}", "is not in this library", f"name one of these: {known}", field="reference"
        )
    return consignment


def refuse_no_boxes(reference: str, boxes: Sequence[Box]) -> None:
    """Refuse to make a paper of a consignment without a box: somebody might sign it.

    Raises:
        RefusedError: there is no box.
    """
    if not boxes:
        raise RefusedError(f"Consignment {reference}", "has no boxes", "name the boxes that travelled with it")


def count_boxes(records: LibraryReader, reference: str) -> int:
    """Return how many boxes are in a consignment."""
    return len(list_boxes(records, reference))


def freight(
    records: LibraryReader, reference: str, *, divisor: float = AIR_DIVISOR, step_g: float | None = None
) -> Freight:
    """Compute a consignment as freight.

    Args:
        records: the library.
        reference: of the consignment.
        divisor: cubic centimetres that count as a kilogram.
        step_g: round the chargeable mass of the consignment up to a multiple of this.

    Raises:
        RefusedError: there is no such consignment.
    """
    consignment = find_consignment(records, reference)
    boxes = sorted(list_boxes(records, reference), key=lambda box: serial_of(box.number))
    return Freight(
        consignment=consignment,
        lines=tuple(FreightLine(box, outer_size(box)) for box in boxes),
        sums=freight_of(boxes, divisor=divisor, step_g=step_g),
    )
