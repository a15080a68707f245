"""The packing list of one box, and the master list of a consignment for carrier and customs.

The contents of a packing list follow the UN/CEFACT and World Bank descriptions of the document: parties, references,
places; for each package its number, type, marks, contents, quantity, net and gross mass and size; totals. It states no
prices. A total includes only what is known: boxes that were not weighed are counted and stated, never taken as zero. No
customs rule is checked; the headings of the Harmonized System are given by the person.
"""

from collections.abc import Iterable

from intake.documents import disclaimers
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.people import few_people
from intake.documents.text_fit import Measure
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM, MasterList, Package, PackedLine, PackingList
from intake.units.convert import kg_text
from intake.units.language import say, say_of, term
from intake.units.local_forms import day_text

LINE_COLUMNS = (
    TableColumn("", 0.5, Align.RIGHT),
    TableColumn("Copy", 1.5, bold=True),
    TableColumn("Title", 5.6),
    TableColumn("Vol.", 1.0),
    TableColumn("Contributors", 2.9),
    TableColumn("Edition", 2.2),
    TableColumn("Mass", 1.2, Align.RIGHT),
)
PACKAGE_COLUMNS = (
    TableColumn("Box", 1.5, bold=True),
    TableColumn("Type", 1.2),
    TableColumn("Marks", 2.2),
    TableColumn("Contents", 2.7),
    TableColumn("Pieces", 0.9, Align.RIGHT),
    TableColumn("Net", 1.45, Align.RIGHT),
    TableColumn("Gross", 1.45, Align.RIGHT),
    TableColumn("Size outside, mm", 2.2, Align.RIGHT),
)


NET = (term("Net mass (gross less empty box) {mass}"), term("Net mass (gross less empty box): not weighed"))
GROSS = (term("Gross mass {mass}"), term("Gross mass: not weighed"))
"""Messages for `weighed_text`."""


def lay_out_packing_list(packed: PackingList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the packing list of one box.

    Args:
        packed: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    box = packed.package
    facts = (
        (say("Consignment"), packed.consignment),
        (say("Box of the consignment"), packed.box_of),
        (say("Consignee"), packed.consignee),
        (say("Carrier"), packed.carrier),
        (say("Room"), box.room),
        (say("Seal"), box.seal),
        (say("Gross mass"), packed.gross or disclaimers.mass_text(box.gross_g)),
        (say("Net mass"), disclaimers.mass_text(box.net_g)),
        (say("Size outside, mm"), _sides(box.size_mm)),
        (say("Size inside, mm"), _sides(box.inner_mm)),
        (say("Marks"), box.marks),
        (say("Date"), day_text(packed.on)),
    )
    sheet = Sheet(Head(say("Packing list"), box.number, facts), measure, paper_mm)
    sheet.paragraph(packed.caution, bold=True, size_pt=12.0)
    sheet.paragraph(packed.caution_basis, size_pt=SMALL_PT)
    sheet.paragraph(packed.note)
    sheet.table(LINE_COLUMNS, (_line(n, line) for n, line in enumerate(packed.lines, start=1)))
    with sheet.closing():
        _sign_packing_list(sheet, packed)
    return sheet.finish()


def _sign_packing_list(sheet: Sheet, packed: PackingList) -> None:
    count = len(packed.lines)
    sheet.heading(say_of(count, "{count} copy in this box", "{count} copies in this box"))
    masses = (line.mass_g for line in packed.lines)
    sheet.paragraph(copies_mass_text(masses))
    if packed.package.quantity != count:
        differs = term("The box was closed with {pieces} pieces; this list has {count}.")
        sheet.paragraph(say(differs, pieces=packed.package.quantity, count=count), bold=True)
    for remark in packed.remarks:
        sheet.paragraph(remark)
    sheet.paragraph(say(disclaimers.NO_PRICES), size_pt=SMALL_PT)
    sheet.signatures((say("Packed by, date"), say("Checked on arrival by, date")))


def lay_out_master_list(master: MasterList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the list of all boxes of a consignment, with totals.

    Args:
        master: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        (say("Consignor"), master.consignor),
        (say("Consignee"), master.consignee),
        (say("Carrier"), master.carrier),
        (say("Date"), day_text(master.on)),
        (say("From"), master.origin),
        (say("To"), master.destination),
        *master.numbers,
        (say("Tariff heading (HS)"), master.tariff),
    )
    sheet = Sheet(Head(say("Master packing list"), master.reference, facts), measure, paper_mm)
    sheet.paragraph(master.note)
    sheet.table(PACKAGE_COLUMNS, (_package(package) for package in master.packages))
    with sheet.closing():
        _sign_master_list(sheet, master)
    return sheet.finish()


def _sign_master_list(sheet: Sheet, master: MasterList) -> None:
    sheet.heading(say("Totals"))
    for sentence in master.totals:
        sheet.paragraph(sentence)
    sheet.paragraph(say(disclaimers.NO_PRICES), size_pt=SMALL_PT)
    sheet.signatures((say("Consignor, place, date"), say("Carrier, place, date"), say("Consignee, place, date")))


def size_text(package: Package) -> str:
    """Return length, width and height outside in whole millimetres; where only the inside is known, say so.

    >>> size_text(Package(number="B1-75", contents="books", quantity=2, inner_mm=(420, 330, 310)))
    'inside 420 × 330 × 310'
    """
    if package.size_mm:
        return _sides(package.size_mm)
    return say("inside {size}", size=_sides(package.inner_mm)) if package.inner_mm else ""


def weighed_text(masses: Iterable[float | None], boxes_mass: str, none_weighed: str) -> str:
    """Return the sum of the masses of boxes that are known, and how many it leaves out.

    Args:
        masses: of the boxes; None where a box was not weighed.
        boxes_mass: what they are, a message with `{mass}`.
        none_weighed: the message where no box was weighed.

    >>> weighed_text([9000.0, None], *GROSS)
    'Gross mass 9.00 kg, without the 1 of 2 boxes that was not weighed'
    """
    every = list(masses)
    known = [mass for mass in every if mass is not None]
    if not known:
        return say(none_weighed)
    missing, whole = len(every) - len(known), say(boxes_mass, mass=kg_text(sum(known)))
    if not missing:
        return whole
    return say_of(
        missing,
        "{whole}, without the {count} of {boxes} boxes that was not weighed",
        "{whole}, without the {count} of {boxes} boxes that were not weighed",
        whole=whole,
        boxes=len(every),
    )


def copies_mass_text(masses: Iterable[float | None]) -> str:
    """Return the sum of the masses of copies that are known, and how many it leaves out."""
    every = list(masses)
    known = [mass for mass in every if mass is not None]
    if not known:
        return say("Mass of the copies: not weighed")
    missing, mass = len(every) - len(known), kg_text(sum(known))
    if not missing:
        return say("Mass of the copies {mass}", mass=mass)
    without = term("Mass of the copies {mass}, without the {missing} of {copies} copies whose mass is not known")
    return say(without, mass=mass, missing=missing, copies=len(every))


def _sides(size_mm: tuple[float, float, float] | None) -> str:
    return " × ".join(f"{side:.0f}" for side in size_mm) if size_mm else ""


def _line(number: int, line: PackedLine) -> tuple[str, ...]:
    mass = "" if line.mass_g is None else kg_text(line.mass_g)
    return (str(number), line.number, line.title, line.volume, few_people(line.contributors), line.edition, mass)


def _package(package: Package) -> tuple[str, ...]:
    marks = " ".join(filter(None, (package.marks, package.seal and say("Seal {seal}.", seal=package.seal))))
    masses = (disclaimers.mass_text(package.net_g), disclaimers.mass_text(package.gross_g))
    size = size_text(package) or say("not measured")
    return (package.number, package.type, marks, package.contents, str(package.quantity), *masses, size)
