"""The list of goods for a customs office: quantity, description, heading, country of printing, values, state, mass.

Totals of values and masses include only what is known, and state what is left out. How goods are classified and taxed
is decided by the customs office.
"""

from collections.abc import Sequence
from decimal import Decimal

from intake.documents.lists import count_text
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.proof_block import set_proof
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.model.schedules import CustomsLine, CustomsList
from intake.units.convert import kg_text

COLUMNS = (
    TableColumn("", 0.6, Align.RIGHT),
    TableColumn("Pieces", 0.9, Align.RIGHT, bold=True),
    TableColumn("Description", 5.2),
    TableColumn("HS", 1.4),
    TableColumn("Printed in", 1.7),
    TableColumn("State", 1.8),
    TableColumn("Unit value", 2.3, Align.RIGHT),
    TableColumn("Total value", 2.3, Align.RIGHT, bold=True),
    TableColumn("Mass", 1.4, Align.RIGHT),
)
CUSTOMS = (
    "Headings are proposals after chapter 49 of the Harmonized System; the customs office decides, and countries add "
    "digits of their own. Values are those recorded by the owner."
)


def lay_out(customs: CustomsList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a customs list.

    Args:
        customs: finished texts and amounts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (*customs.facts, ("Date", customs.on.isoformat()))
    sheet = Sheet(Head("List of goods for customs", customs.reference, facts), measure, paper_mm)
    sheet.heading("Totals")
    for sentence in totals(customs.lines, customs.currency):
        sheet.paragraph(sentence, bold=True)
    for sentence in (*customs.notes, CUSTOMS):
        sheet.paragraph(sentence, size_pt=SMALL_PT)
    sheet.heading("Goods")
    sheet.table(COLUMNS, (_goods(n, line, customs.currency) for n, line in enumerate(customs.lines, 1)))
    set_proof(sheet, customs.proof)
    sheet.signatures(("Consignor, place, date", "Customs office, place, date"))
    return sheet.finish()


def totals(lines: Sequence[CustomsLine], currency: str) -> list[str]:
    """Return the totals as sentences, each with what it leaves out.

    >>> line = CustomsLine(quantity=2, description="x", heading="4901.99", country="", state="used")
    >>> totals([line], "EUR")[1]
    'Value: none recorded'
    """
    pieces = sum(line.quantity for line in lines)
    values = [line.total for line in lines if line.total is not None]
    unvalued = sum(line.unvalued for line in lines)
    masses = [line.mass_g for line in lines if line.mass_g is not None]
    value = f"Value {amount_text(sum(values, Decimal()), currency)}" if values else "Value: none recorded"
    left = f", without {count_text(unvalued, 'piece', 'pieces')} of no recorded value" if values and unvalued else ""
    unweighed = sum(line.quantity for line in lines if line.mass_g is None)
    mass = f"Mass {kg_text(sum(masses))}" if masses else "Mass: not known"
    by_heading = {
        h: sum(line.quantity for line in lines if line.heading == h) for h in {line.heading for line in lines}
    }
    return [
        f"{count_text(pieces, 'piece', 'pieces')}: "
        + ", ".join(f"{count} under {heading}" for heading, count in sorted(by_heading.items())),
        value + left,
        mass + (f", without {count_text(unweighed, 'piece', 'pieces')} not weighed" if masses and unweighed else ""),
    ]


def _goods(number: int, line: CustomsLine, currency: str) -> tuple[str, ...]:
    mass = "not known" if line.mass_g is None else kg_text(line.mass_g)
    unit = "" if line.unit is None else amount_text(line.unit, currency)
    total = "no value" if line.total is None else amount_text(line.total, currency)
    if line.total is not None and line.unvalued:
        total += f"\nwithout {line.unvalued}"
    country = line.country or "not known"
    return (str(number), str(line.quantity), line.description, line.heading, country, line.state, unit, total, mass)
