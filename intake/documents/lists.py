"""The packing list of one box, and the master list of a consignment for carrier and customs.

The contents of a packing list follow the UN/CEFACT and World Bank descriptions of the document: parties, references,
places; for each package its number, type, marks, contents, quantity, net and gross mass and size; totals. It states no
prices. A total includes only what is known: boxes that were not weighed are counted and stated, never taken as zero. No
customs rule is checked; the headings of the Harmonized System are given by the person.
"""

from collections.abc import Iterable
from datetime import date

from intake.documents import disclaimers
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.people import few_people
from intake.documents.text_fit import Measure
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM, MasterList, Package, PackedLine, PackingList
from intake.units.convert import kg_text
from intake.units.counts import counted

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


def lay_out_packing_list(packed: PackingList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the packing list of one box.

    Args:
        packed: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    box = packed.package
    facts = (
        ("Consignment", packed.consignment),
        ("Box of the consignment", packed.box_of),
        ("Consignee", packed.consignee),
        ("Carrier", packed.carrier),
        ("Room", box.room),
        ("Seal", box.seal),
        ("Gross mass", packed.gross or disclaimers.mass_text(box.gross_g)),
        ("Net mass", disclaimers.mass_text(box.net_g)),
        ("Size outside, mm", _sides(box.size_mm)),
        ("Size inside, mm", _sides(box.inner_mm)),
        ("Marks", box.marks),
        ("Date", date_text(packed.on)),
    )
    sheet = Sheet(Head("Packing list", box.number, facts), measure, paper_mm)
    sheet.paragraph(packed.caution, bold=True, size_pt=12.0)
    sheet.paragraph(packed.caution_basis, size_pt=SMALL_PT)
    sheet.paragraph(packed.note)
    sheet.table(LINE_COLUMNS, (_line(n, line) for n, line in enumerate(packed.lines, start=1)))
    with sheet.closing():
        _sign_packing_list(sheet, packed)
    return sheet.finish()


def _sign_packing_list(sheet: Sheet, packed: PackingList) -> None:
    sheet.heading(counted(len(packed.lines), "copy", "copies") + " in this box")
    masses = (line.mass_g for line in packed.lines)
    sheet.paragraph(weighed_text(masses, "Mass of the copies", "copies", "whose mass is not known"))
    if packed.package.quantity != len(packed.lines):
        sheet.paragraph(
            f"The box was closed with {packed.package.quantity} pieces; this list has {len(packed.lines)}.", bold=True
        )
    for remark in packed.remarks:
        sheet.paragraph(remark)
    sheet.paragraph(disclaimers.NO_PRICES, size_pt=SMALL_PT)
    sheet.signatures(("Packed by, date", "Checked on arrival by, date"))


def lay_out_master_list(master: MasterList, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out the list of all boxes of a consignment, with totals.

    Args:
        master: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (
        ("Consignor", master.consignor),
        ("Consignee", master.consignee),
        ("Carrier", master.carrier),
        ("Date", date_text(master.on)),
        ("From", master.origin),
        ("To", master.destination),
        ("Tariff heading (HS)", master.tariff),
    )
    sheet = Sheet(Head("Master packing list", master.reference, facts), measure, paper_mm)
    sheet.paragraph(master.note)
    sheet.table(PACKAGE_COLUMNS, (_package(package) for package in master.packages))
    with sheet.closing():
        _sign_master_list(sheet, master)
    return sheet.finish()


def _sign_master_list(sheet: Sheet, master: MasterList) -> None:
    sheet.heading("Totals")
    for sentence in master.totals:
        sheet.paragraph(sentence)
    sheet.paragraph(disclaimers.NO_PRICES, size_pt=SMALL_PT)
    sheet.signatures(("Consignor, place, date", "Carrier, place, date", "Consignee, place, date"))


def size_text(package: Package) -> str:
    """Return length, width and height outside in whole millimetres; where only the inside is known, say so.

    >>> size_text(Package(number="B1-75", contents="books", quantity=2, inner_mm=(420, 330, 310)))
    'inside 420 × 330 × 310'
    """
    if package.size_mm:
        return _sides(package.size_mm)
    return f"inside {_sides(package.inner_mm)}" if package.inner_mm else ""


def date_text(on: date | None) -> str:
    """Return a date in ISO 8601 form; empty for None."""
    return on.isoformat() if on else ""


def weighed_text(masses: Iterable[float | None], name: str, things: str, why: str = "") -> str:
    """Return the sum of the masses that are known, and how many it leaves out.

    >>> weighed_text([9000.0, None], "Gross mass", "boxes")
    'Gross mass 9.00 kg, without the 1 of 2 boxes that was not weighed'
    """
    every = list(masses)
    known = [mass for mass in every if mass is not None]
    if not known:
        return f"{name}: not weighed"
    missing, of = len(every) - len(known), len(every)
    why = why or f"that {'was' if missing == 1 else 'were'} not weighed"
    left = f", without the {missing} of {of} {things} {why}" if missing else ""
    return f"{name} {kg_text(sum(known))}{left}"


def _sides(size_mm: tuple[float, float, float] | None) -> str:
    return " × ".join(f"{side:.0f}" for side in size_mm) if size_mm else ""


def _line(number: int, line: PackedLine) -> tuple[str, ...]:
    mass = "" if line.mass_g is None else kg_text(line.mass_g)
    return (str(number), line.number, line.title, line.volume, few_people(line.contributors), line.edition, mass)


def _package(package: Package) -> tuple[str, ...]:
    marks = " ".join(filter(None, (package.marks, package.seal and f"Seal {package.seal}.")))
    masses = (disclaimers.mass_text(package.net_g), disclaimers.mass_text(package.gross_g))
    size = size_text(package) or "not measured"
    return (package.number, package.type, marks, package.contents, str(package.quantity), *masses, size)
