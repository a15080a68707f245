"""The valued inventory: every copy with its value, and the basis, date and source of the value.

Amounts in different currencies, or on different bases, are never added together. Copies without a value are counted and
stated, never taken as zero. The head of the ledger's hash chain is printed, so that the list can be checked against the
ledger later. Values are neither assessed nor converted.
"""

from collections import defaultdict
from decimal import Decimal

from intake.documents import disclaimers
from intake.documents.lists import count_text
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.proof_block import set_proof
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM, Inventory, InventoryLine

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
        ("Count", count_text(len(inventory.lines), "copy", "copies")),
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
    if inventory.ledger_head:
        set_proof(sheet, inventory.proof)
        sheet.paragraph(f"Ledger entry {inventory.ledger_seq}, SHA-256 {inventory.ledger_head}")
    sheet.signatures(("Owner, place, date", "Witness, place, date"))
    return sheet.finish()


def totals(lines: tuple[InventoryLine, ...]) -> list[str]:
    """Return one total for each currency and basis, and how many copies have no value.

    >>> totals((InventoryLine(number="A1-00", title="Ur"),))
    ['1 copy without a value: in no total']
    """
    sums: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    for line in lines:
        if line.amount is not None:
            sums[line.currency, line.basis.value if line.basis else "unstated"].append(line.amount)
    out = [
        f"{amount_text(sum(amounts, Decimal()), currency)}, {basis} value, {count_text(len(amounts), 'copy', 'copies')}"
        for (currency, basis), amounts in sorted(sums.items())
    ]
    without = sum(line.amount is None for line in lines)
    return [*out, f"{count_text(without, 'copy', 'copies')} without a value: in no total"] if without else out


def _row(line: InventoryLine) -> tuple[str, ...]:
    volume = f"volume {line.volume}" if line.volume.isdigit() else line.volume
    more = "; ".join(filter(None, (volume, line.contributors, line.edition)))
    what = f"{line.title}\n{more}"
    if line.amount is None:
        return (line.number, what, line.condition, line.where, NO_VALUE, "")
    basis = line.basis.value if line.basis else "unstated"
    on = line.valued_on.isoformat() if line.valued_on else ""
    source = ", ".join(filter(None, (basis, line.source, on)))
    return (line.number, what, line.condition, line.where, amount_text(line.amount, line.currency), source)
