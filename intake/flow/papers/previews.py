"""Papers as bytes, to be looked at before anything is printed."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from pathlib import Path

from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.edges.temp_files import temporary_file
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_box
from intake.flow.papers import printing
from intake.flow.papers.paper_contents import by_serial
from intake.model.boxes import Box
from intake.model.editions import CopyState
from intake.model.pages import PrintReport
from intake.model.papers import A4_MM, LETTER_MM

SIZES = {"a4": A4_MM, "letter": LETTER_MM}


class Paper(StrEnum):
    """The papers that can be printed; the value is also the name of the file."""

    SHELF_LABELS = "shelf-labels"
    COPY_FLAGS = "copy-flags"
    BOX_LABELS = "box-labels"
    PACKING_LISTS = "packing-lists"
    MASTER_LIST = "master-list"
    INVENTORY = "inventory"


LABELS = {
    Paper.SHELF_LABELS: printing.SHELF_TEMPLATE,
    Paper.COPY_FLAGS: printing.FLAG_TEMPLATE,
    Paper.BOX_LABELS: printing.BOX_TEMPLATE,
}
"""The papers that are labels, each with the template it is usually printed on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChoice:
    """What is to be printed.

    Attributes:
        template: for labels, a name of `intake.edges.templates.names`.
        start: for labels, the first that is still on the sheet, from 1.
        box: for what is about boxes, only this one; empty for all.
        reference: for the master list, of which consignment.
    """

    paper: Paper
    template: str = ""
    start: int = 1
    box: str = ""
    size: str = "a4"
    reference: str = ""
    owner: str = ""


def preview(records: LibraryReader, choice: PaperChoice, *, on: date) -> tuple[bytes, PrintReport]:
    """Make a paper.

    Returns:
        The PDF file, and what became of it.

    Raises:
        RefusedError: there is nothing to print, or no such box or consignment.
        UsageError: the template has no fields for this.
    """
    with temporary_file(f"{choice.paper}.pdf") as path:
        try:
            report = _print(records, choice, path, on)
        except RefusedError as error:
            # What the error is about may be the scratch file, whose name says nothing to a person.
            thing = "This paper" if error.thing == str(path) else error.thing
            raise RefusedError(thing, error.why, error.remedy) from error
        return path.read_bytes(), report


def _print(records: LibraryReader, choice: PaperChoice, path: Path, on: date) -> PrintReport:
    if choice.paper in LABELS:
        return _print_labels(records, choice, path)
    size = SIZES.get(choice.size, A4_MM)
    if choice.paper is Paper.PACKING_LISTS:
        return printing.print_packing_lists(records, _boxes(records, choice.box), path, on=on, paper_mm=size)
    if choice.paper is Paper.MASTER_LIST:
        return printing.print_master_list(records, choice.reference, path, on=on, paper_mm=size)
    return printing.print_inventory(records, path, owner=choice.owner, on=on, paper_mm=size)


def _print_labels(records: LibraryReader, choice: PaperChoice, path: Path) -> PrintReport:
    labels = printing.LabelStock(choice.template or LABELS[choice.paper], choice.start)
    if choice.paper is Paper.SHELF_LABELS:
        return printing.print_shelf_labels(records, shelves_in_order(records), labels, path)
    if choice.paper is Paper.BOX_LABELS:
        return printing.print_box_labels(records, _boxes(records, choice.box), labels, path)
    standing = by_serial(copy for copy, _ in all_copies(records) if copy.state is CopyState.SHELVED)
    return printing.print_copy_flags(records, standing, labels, path)


def _boxes(records: LibraryReader, text: str) -> tuple[Box, ...]:
    return (find_box(records, text),) if text.strip() else list_boxes(records)
