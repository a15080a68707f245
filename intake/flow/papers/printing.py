"""Papers: records fetched, laid out, and saved as PDF, XLSX or CSV."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from intake.documents import inventories, labels, lists
from intake.edges import fonts, pdf, sheets, templates
from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.shelves import shelves_in_order
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.moving.reconcile import reconcile
from intake.flow.papers import paper_contents, printing_moves, shelf_labels
from intake.model.boxes import Box, Consignment
from intake.model.editions import Copy, CopyState
from intake.model.pages import Page, PrintReport
from intake.model.papers import A4_MM, LabelContent, LabelUse
from intake.model.places import Place

PaperSize = tuple[float, float]

SHELF_TEMPLATE = "a4-3x8"
FLAG_TEMPLATE = "a4-4x2"
BOX_TEMPLATE = "a4-2x4"


@dataclass(frozen=True, slots=True)
class LabelStock:
    """What the labels of one run are printed on.

    Attributes:
        template: a name of `label_templates/`, or the path of a person's own file.
        start: the first label of the first sheet that is still there, from 1.
    """

    template: str
    start: int = 1


def print_shelf_labels(records: LibraryReader, shelves: Sequence[Place], on: LabelStock, path: Path) -> PrintReport:
    """Print a label for each shelf."""
    return _print_labels(shelf_labels.shelf_labels(records, shelves), LabelUse.SHELF, on, path, "Shelf labels")


def print_copy_flags(records: LibraryReader, copies: Sequence[Copy], on: LabelStock, path: Path) -> PrintReport:
    """Print a slip to be laid into each copy."""
    return _print_labels(paper_contents.copy_flags(records, copies), LabelUse.FLAG, on, path, "Copy flags")


def print_box_labels(records: LibraryReader, boxes: Sequence[Box], on: LabelStock, path: Path) -> PrintReport:
    """Print a label for each box."""
    return _print_labels(paper_contents.box_labels(records, boxes), LabelUse.BOX, on, path, "Box labels")


def print_packing_lists(
    records: LibraryReader, boxes: Sequence[Box], path: Path, *, on: date, paper_mm: PaperSize = A4_MM
) -> PrintReport:
    """Print the packing list of each box, one after the other."""
    pages: list[Page] = []
    for box in boxes:
        packed = paper_contents.packing_list(records, box, on=on)
        pages += lists.lay_out_packing_list(packed, measure=fonts.measure, paper_mm=paper_mm)
    return _save(pages, path, "Packing lists")


def print_master_list(
    records: LibraryReader, reference: str, path: Path, *, on: date, paper_mm: PaperSize = A4_MM
) -> PrintReport:
    """Print the list of all boxes of a consignment.

    Raises:
        RefusedError: there is no such consignment.
    """
    consignment = records.get(Consignment, reference)
    if consignment is None:
        known = ", ".join(held.reference for held in records.all(Consignment)) or "none yet"
        raise RefusedError(f"Consignment {reference}", "is not in this library", f"name one of these: {known}")
    master = paper_contents.master_list(records, consignment, on=on)
    pages = lists.lay_out_master_list(master, measure=fonts.measure, paper_mm=paper_mm)
    return _save(pages, path, f"Master packing list {reference}")


def print_inventory(
    records: LibraryReader, path: Path, *, owner: str = "", on: date, paper_mm: PaperSize = A4_MM
) -> PrintReport:
    """Write the valued inventory of all copies; the file's suffix says whether as PDF, XLSX or CSV.

    Raises:
        UsageError: the file's name ends otherwise.
    """
    suffix = path.suffix.casefold()
    if suffix not in (".pdf", ".xlsx", ".csv"):
        raise UsageError(str(path), "does not say what kind of file it is to be", "end its name in .pdf, .xlsx or .csv")
    inventory = paper_contents.inventory(records, purpose="Valued inventory", owner=owner, on=on)
    if suffix != ".pdf":
        rows = paper_contents.inventory_rows(inventory)
        if suffix == ".csv":
            proved = [(*row, "" if nth else inventory.proof) for nth, row in enumerate(rows)]
            sheets.save_csv(path, (*paper_contents.INVENTORY_HEADER, "Proof"), proved)
        else:
            totals = {"Amount": "Currency"}
            words = inventory.proof
            sheets.save_xlsx(path, paper_contents.INVENTORY_HEADER, rows, title="Inventory", totals=totals, proof=words)
        return PrintReport(pages=1)
    pages = inventories.lay_out(inventory, measure=fonts.measure, paper_mm=paper_mm)
    return pdf.save(pages, path, title="Valued inventory", author=owner, subject=inventory.proof)


def print_everything(library: Library, folder: Path, *, on: date) -> Iterator[tuple[Path, str, PrintReport]]:
    """Print all papers of a library into a folder, one after the other.

    Yields:
        The file, what it is, and what became of it.
    """
    with library.reading() as records:
        boxes = sorted(list_boxes(records), key=lambda box: (len(box.number), box.number))
        standing = [copy for copy, _ in all_copies(records) if copy.state is CopyState.SHELVED]
        jobs: list[tuple[str, str, Callable[[Path], PrintReport]]] = [
            ("shelf-labels.pdf", "one for each shelf",
             lambda path: print_shelf_labels(records, shelves_in_order(records), LabelStock(SHELF_TEMPLATE), path)),
            ("copy-flags.pdf", "slips to be laid in, never stuck on",
             lambda path: print_copy_flags(
                 records, paper_contents.by_serial(standing), LabelStock(FLAG_TEMPLATE), path)),
            ("box-labels.pdf", "one for each box",
             lambda path: print_box_labels(records, boxes, LabelStock(BOX_TEMPLATE), path)),
            ("box-labels-four-faces.pdf", "one sheet for each box, one label for each side",
             lambda path: printing_moves.print_face_labels(records, boxes, path)),
            ("packing-lists.pdf", "what is in each box",
             lambda path: print_packing_lists(records, boxes, path, on=on)),
            *((f"master-list-{_file_words(held.reference)}.pdf", "all boxes of the consignment",
               lambda path, reference=held.reference: print_master_list(records, reference, path, on=on))
              for held in records.all(Consignment)),
            *((f"discrepancies-{_file_words(held.reference)}.pdf", "what did not arrive as it left",
               lambda path, held=held: printing_moves.print_discrepancies(
                   records, reconcile(records, held.reference), held, path, on=on))
              for held in records.all(Consignment)),
            ("inventory.pdf", "every copy, its state and value", lambda path: print_inventory(records, path, on=on)),
            ("inventory.xlsx", "the same as a spreadsheet", lambda path: print_inventory(records, path, on=on)),
            ("inventory.csv", "the same as plain text", lambda path: print_inventory(records, path, on=on)),
        ]  # fmt: skip
        for name, what, job in jobs:
            yield folder / name, what, job(folder / name)


def _print_labels(
    contents: Sequence[LabelContent], use: LabelUse, on: LabelStock, path: Path, title: str
) -> PrintReport:
    template = templates.read(on.template, use)
    pages = labels.lay_out(template, contents, start=on.start, measure=fonts.measure)
    return _save(pages, path, title)


def _save(pages: Sequence[Page], path: Path, title: str) -> PrintReport:
    if not pages:
        raise RefusedError(str(path), "would have no page, because nothing was chosen", "choose what to print")
    return pdf.save(pages, path, title=title)


def _file_words(text: str) -> str:
    """Keep of a text what any file system takes in a name."""
    return re.sub(r"[^\w-]+", "-", text).strip("-")
