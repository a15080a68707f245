"""A declaration to be signed: its text, the conditions that it rests on, and the copies that it does not cover."""

from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.text_fit import Measure
from intake.model.goods import Declaration
from intake.model.pages import Page
from intake.model.papers import A4_MM
from intake.units.language import say
from intake.units.local_forms import day_text

CHECK_COLUMNS = (
    TableColumn("Rule", 1.8, bold=True),
    TableColumn("Condition", 5.0, context="of a rule"),
    TableColumn("What the record says", 6.2),
)
COPY_COLUMNS = (
    TableColumn("Copy", 1.6, bold=True),
    TableColumn("Title", 6.0),
    TableColumn("Why", 5.4),
)


def lay_out(paper: Declaration, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a declaration.

    Args:
        paper: finished texts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (*paper.facts, (say("Date"), day_text(paper.on)))
    sheet = Sheet(Head(paper.title, paper.reference, facts), measure, paper_mm)
    for paragraph in paper.text:
        sheet.paragraph(paragraph)
    sheet.heading(say("Conditions, and what the record says of them"))
    sheet.table(CHECK_COLUMNS, paper.checks)
    for heading, rows in (
        (say("Not covered by this declaration"), paper.left_out),
        (say("To be answered first"), paper.open),
    ):
        if rows:
            sheet.heading(heading)
            sheet.table(COPY_COLUMNS, rows)
    with sheet.closing():
        _sign(sheet, paper)
    return sheet.finish()


def _sign(sheet: Sheet, paper: Declaration) -> None:
    for sentence in paper.totals:
        sheet.paragraph(sentence, bold=True)
    for note in paper.notes:
        sheet.paragraph(note, size_pt=SMALL_PT)
    sheet.signatures(paper.signers)
