"""The list of goods for a customs office: one line for each piece, sums by box and by heading, and a closing total.

Sums include only what is known, and state what is left out. What has to be answered before it is signed stands first.
How goods are classified and taxed is decided by the customs office.
"""

from collections.abc import Iterable, Sequence

from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.proof_block import set_proof
from intake.documents.text_fit import Measure
from intake.model.currencies import amount_text
from intake.model.goods import CustomsLine, CustomsList, CustomsSum
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.model.valuations import add_up
from intake.units.convert import exact_kg_text
from intake.units.counts import counted
from intake.units.language import say, say_of, term
from intake.units.local_forms import day_text

COLUMNS = (
    TableColumn("", 0.6, Align.RIGHT),
    TableColumn("Box and copy", 1.6, bold=True),
    TableColumn("Description, ISBN", 5.2),
    TableColumn("HS", 1.4),
    TableColumn("Printed in", 1.5),
    TableColumn("State", 1.8),
    TableColumn("Value", 2.5, Align.RIGHT, bold=True),
    TableColumn("Net", 1.6, Align.RIGHT),
    TableColumn("Gross", 1.6, Align.RIGHT),
)
BOX_COLUMNS = (
    TableColumn("Box", 1.6, bold=True),
    TableColumn("Pieces", 1.0, Align.RIGHT),
    TableColumn("Value", 4.4, Align.RIGHT),
    TableColumn("Net, by the pieces", 3.4, Align.RIGHT),
    TableColumn("Gross, as weighed", 2.2, Align.RIGHT),
    TableColumn("How weighed, which part", 3.8),
)
HEADING_COLUMNS = (
    TableColumn("HS", 1.4, bold=True),
    TableColumn("Goods", 4.4),
    TableColumn("Pieces", 1.0, Align.RIGHT),
    TableColumn("Value", 4.8, Align.RIGHT),
    TableColumn("Net, by the pieces", 3.4, Align.RIGHT),
)
CUSTOMS = term(
    "Headings are proposals after chapters 49 and 97 of the Harmonized System; the customs office decides, and "
    "countries add digits of their own. Values are those recorded by the owner. Old books may need a licence to leave "
    "or to enter a country as cultural goods: ask before they are dispatched."
)


def lay_out(customs: CustomsList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a customs list.

    Args:
        customs: finished texts and amounts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (*customs.facts, (say("Date"), day_text(customs.on)))
    sheet = Sheet(Head(say("List of goods for customs"), customs.reference, facts), measure, paper_mm)
    if customs.asks:
        sheet.heading(say("To be answered before this list is signed"))
        for sentence in customs.asks:
            sheet.paragraph(sentence)
    sheet.heading(say("Goods"))
    rows = (_goods(n, line) for n, line in enumerate(customs.lines, 1))
    sheet.table(COLUMNS, rows, lambda count: sum_words(customs.lines[:count]))
    sheet.heading(say("By box"))
    sheet.table(BOX_COLUMNS, map(_box, customs.boxes))
    sheet.heading(say("By heading"))
    sheet.table(HEADING_COLUMNS, map(_heading, customs.headings))
    with sheet.closing():
        _close(sheet, customs)
    set_proof(sheet, customs.proof)
    return sheet.finish()


def _close(sheet: Sheet, customs: CustomsList) -> None:
    sheet.heading(say("Closing total"))
    for sentence in customs.totals:
        sheet.paragraph(sentence, bold=True)
    for sentence in (*customs.notes, say(CUSTOMS)):
        sheet.paragraph(sentence, size_pt=SMALL_PT)
    sheet.signatures((say("Consignor, place, date"), say("Customs office, place, date")))


def sum_words(lines: Sequence[CustomsLine]) -> str:
    """Write what lines add up to, without what is lost or has not arrived.

    >>> sum_words([CustomsLine(box="B1-75", copy="A1-71", title="Ur", goods="", heading="", net_g=2500.0)])
    '1 piece, value not recorded, net 2.500 kg'
    """
    found = [line for line in lines if line.is_found]
    pieces = [line for line in found if not line.is_set]
    sums = add_up(line.counted for line in found if line.counted is not None)
    worth = ", ".join(f"{amount_text(one.amount, one.currency)} ({say(one.basis.value)})" for one in sums)
    masses = [line.net_g for line in pieces]
    unknown = masses.count(None)
    return say(
        "{pieces}, value {worth}, net {mass}",
        pieces=counted(len(pieces), "piece", "pieces"),
        worth=worth or say("not recorded"),
        mass=_without_unknown(sum(mass for mass in masses if mass is not None), unknown),
    )


def _goods(number: int, line: CustomsLine) -> tuple[str, ...]:
    recorded = say("value as recorded: {value}", value=line.recorded) if line.recorded else ""
    what = _lines((line.title, line.more, line.isbn, line.goods, recorded, *line.questions))
    if line.is_set:
        return ("", line.copy, what, "", "", "", line.value, "", "")
    country = line.country or say("not known")
    where = f"{line.box}\n{line.copy}"
    masses = (_mass(line.net_g), _mass(line.gross_g))
    return (str(number), where, what, line.heading, country, line.state, line.value, *masses)


def _box(box: CustomsSum) -> tuple[str, ...]:
    gross = "" if box.weighed is None else say("not weighed") if box.gross_g is None else exact_kg_text(box.gross_g)
    return (box.name, str(box.pieces), box.value, net_words(box), gross, box.what)


def _heading(heading: CustomsSum) -> tuple[str, ...]:
    return (heading.name, heading.what, str(heading.pieces), heading.value, net_words(heading))


def net_words(part: CustomsSum) -> str:
    """Write the net mass of pieces, and of how many it is not known.

    >>> net_words(CustomsSum(name="4901.99", pieces=3, value="", net_g=2500.0, unknown=1))
    '2.500 kg, without 1 piece of unknown mass'
    """
    if part.pieces and part.unknown == part.pieces:
        return say("not known")
    return _without_unknown(part.net_g, part.unknown)


def _without_unknown(mass_g: float, unknown: int) -> str:
    """Write a mass, and of how many pieces it leaves the mass out."""
    mass = exact_kg_text(mass_g)
    if not unknown:
        return mass
    return say_of(
        unknown,
        "{mass}, without {count} piece of unknown mass",
        "{mass}, without {count} pieces of unknown mass",
        mass=mass,
    )


def _mass(mass_g: float | None) -> str:
    return say("not known") if mass_g is None else exact_kg_text(mass_g)


def _lines(texts: Iterable[str]) -> str:
    return "\n".join(filter(None, texts))
