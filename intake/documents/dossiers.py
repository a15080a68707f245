"""Documents about one copy: everything recorded about it, and its condition before and after the move."""

from collections.abc import Sequence

from intake.documents import disclaimers
from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.photographs import set_compared, set_photographs
from intake.documents.proof_block import set_proof
from intake.documents.text_fit import Measure
from intake.model.pages import Page
from intake.model.papers import A4_MM
from intake.model.schedules import Dossier, Section
from intake.units.language import say
from intake.units.local_forms import day_text


def lay_out(dossier: Dossier, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a document about one copy.

    Args:
        dossier: finished texts.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    facts = (*dossier.facts, (say("Date"), day_text(dossier.on)))
    sheet = Sheet(Head(dossier.title, dossier.number, facts), measure, paper_mm, dossier.initialled)
    for section in dossier.sections:
        _section(sheet, section)
    set_compared(sheet, dossier.compared)
    set_photographs(sheet, dossier.photographs)
    with sheet.closing():
        sheet.paragraph(say(disclaimers.NO_ADVICE), size_pt=SMALL_PT)
        if dossier.signatures:
            sheet.signatures(dossier.signatures)
    set_proof(sheet, dossier.proof)
    return sheet.finish()


def lay_out_all(dossiers: Sequence[Dossier], *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out several documents, each beginning on a new page."""
    return [page for dossier in dossiers for page in lay_out(dossier, measure=measure, paper_mm=paper_mm)]


def _section(sheet: Sheet, section: Section) -> None:
    sheet.heading(section.heading)
    if section.facts:
        sheet.facts(section.facts)
    for sentence in section.sentences:
        sheet.paragraph(sentence)
    if section.rows:
        sheet.table([TableColumn(name, share) for name, share in section.columns], section.rows)
