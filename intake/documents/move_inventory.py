"""The move inventory: for each box, the condition of its copies at origin and destination, with signature lines."""

from intake.documents.grade_legend import set_legend
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.proof_block import set_proof
from intake.documents.table_columns import ColumnWidths
from intake.documents.text_fit import Measure
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.model.schedules import MovedBox, MoveInventory
from intake.units.counts import counted
from intake.units.language import say, term
from intake.units.local_forms import day_text

BOX_COLUMNS = (
    TableColumn("Copy", 1.6, bold=True),
    TableColumn("Title", 5.6),
    TableColumn("Condition at origin", 3.2),
    TableColumn("Carrier's code", 1.2),
    TableColumn("Condition at destination", 3.2),
    TableColumn("Carrier's code", 1.2),
    TableColumn("Value", 2.4, Align.RIGHT),
)
CARRIER = term(
    "The contract and local law decide what a carrier is liable for, and until when a loss must be reported."
)
INITIALLED = (term("Carrier's initials at origin"), term("Carrier's initials at destination"))
SIGNERS = (
    term("Owner at origin, date"),
    term("Carrier at origin, date"),
    term("Carrier at destination, date"),
    term("Owner at destination, date"),
)


def lay_out(move: MoveInventory, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a move inventory.

    Args:
        move: finished texts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (*move.facts, (say("Date"), day_text(move.on)))
    sheet = Sheet(Head(say("Move inventory"), move.reference, facts), measure, paper_mm, tuple(map(say, INITIALLED)))
    sheet.heading(say("Totals"))
    for sentence in move.totals:
        sheet.paragraph(sentence)
    sheet.paragraph(say(CARRIER), size_pt=SMALL_PT)
    columns = sheet.size_columns(BOX_COLUMNS, (row for box in move.boxes for row in _rows(box)))
    for box in move.boxes:
        _box(sheet, columns, box)
    set_legend(sheet, move.legend)
    with sheet.closing():
        sheet.heading(say("Signed at both ends"))
        sheet.signatures([say(signer) for signer in SIGNERS])
    set_proof(sheet, move.proof)
    return sheet.finish()


def _box(sheet: Sheet, columns: ColumnWidths, box: MovedBox) -> None:
    copies = counted(len(box.lines), "copy", "copies")
    sheet.heading(say("Box {number}: {copies}", number=box.number, copies=copies))
    sheet.facts(box.facts)
    if box.lines:
        sheet.table(columns, _rows(box))


def _rows(box: MovedBox) -> list[tuple[str, ...]]:
    return [(line.number, line.title, line.at_origin, "", line.at_destination, "", line.value) for line in box.lines]
