"""The valued inventory: every copy with its value, and the basis, date and source of the value.

Amounts in different currencies, or on different bases, are never added together, nor what is lost with what is at risk;
a set that counts once stands in a line of its own. Copies without a value are counted and stated, never taken as zero.
The head of the ledger's hash chain is printed, so that the list can be checked against the ledger later. Values are
neither assessed nor converted.
"""

from intake.documents import disclaimers
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.proof_block import set_proof
from intake.documents.schedules import sets_words
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM, Inventory, InventoryLine
from intake.model.valuations import add_up
from intake.units.counts import counted

COLUMNS = (
    TableColumn("Copy", 1.6, bold=True),
    TableColumn("Title, contributors, edition", 5.6),
    TableColumn("Condition", 2.2),
    TableColumn("Where", 2.4),
    TableColumn("Value", 2.1, Align.RIGHT, bold=True),
    TableColumn("Basis, source, date", 2.7),
)
NO_VALUE = "no value"


def lay_out(inventory: Inventory, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a valued inventory.

    Args:
        inventory: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        ("Owner", inventory.owner),
        ("Kept at", inventory.address),
        ("Count", counted(sum(not line.is_set for line in inventory.lines), "copy", "copies")),
        ("Date", inventory.on.isoformat()),
    )
    title = inventory.purpose[:1].upper() + inventory.purpose[1:]
    sheet = Sheet(Head(title, inventory.on.isoformat(), facts), measure, paper_mm)
    sheet.paragraph(inventory.note)
    sheet.heading("Totals")
    for line in totals(inventory.lines):
        sheet.paragraph(line, bold=True)
    sheet.paragraph(disclaimers.NO_ADVICE, size_pt=SMALL_PT)
    sheet.heading("Copies")
    sheet.table(COLUMNS, map(_row, inventory.lines))
    with sheet.closing():
        if inventory.ledger_head:
            set_proof(sheet, inventory.proof)
            sheet.paragraph(f"Ledger entry {inventory.ledger_seq}, SHA-256 {inventory.ledger_head}")
        sheet.signatures(("Owner, place, date", "Witness, place, date"))
    return sheet.finish()


def totals(lines: tuple[InventoryLine, ...]) -> list[str]:
    """Return one total for each currency and basis, what is lost apart from the rest, and what has no value.

    >>> totals((InventoryLine(number="A1-00", title="Ur"),))
    ['1 copy without a value: in no total']
    """
    sentences = []
    for lost, words in ((False, ""), (True, "Lost, and in no total above: ")):
        part = [line for line in lines if line.lost is lost]
        for one in add_up(amount for line in part if (amount := line.counted) is not None):
            sets = sets_words(one, lost=lost)
            copies = counted(one.copies, "copy", "copies")
            sentences.append(f"{words}{amount_text(one.amount, one.currency)}, {one.basis.value} value, {copies}{sets}")
        without = sum(line.amount is None and not line.in_set for line in part)
        if without:
            lost_ones = "lost " if lost else ""
            copies = counted(without, f"{lost_ones}copy", f"{lost_ones}copies")
            sentences.append(f"{copies} without a value: in no total")
    return sentences


def _row(line: InventoryLine) -> tuple[str, ...]:
    more = "; ".join(filter(None, (line.in_words or line.volume, line.contributors, line.edition)))
    what = f"{line.title}\n{more}" if more else line.title
    if line.amount is None:
        value = f"in {line.in_set}" if line.in_set else NO_VALUE
        return (line.number, what, line.condition, line.where, value, line.note)
    basis = line.basis.value if line.basis else ""
    on = line.valued_on.isoformat() if line.valued_on else ""
    source = "\n".join(filter(None, (", ".join(filter(None, (basis, line.source, on))), line.note)))
    return (line.number, what, line.condition, line.where, amount_text(line.amount, line.currency), source)
