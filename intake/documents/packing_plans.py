"""The packing plan: the copies of each box by pile, from the bottom of each pile."""

from intake.documents.page_flow import Head, Sheet, TableColumn
from intake.documents.text_fit import Measure
from intake.model.moving_papers import PlannedCopy, PlanPaper
from intake.model.pages import Align, Page
from intake.model.papers import A4_MM
from intake.units.convert import kg_text
from intake.units.language import say
from intake.units.local_forms import day_text

PLAN_COLUMNS = (
    TableColumn("Pile", 0.7, Align.RIGHT),
    TableColumn("Layer", 0.8, Align.RIGHT),
    TableColumn("Copy", 1.5, bold=True),
    TableColumn("Title", 8.0),
    TableColumn("Mass", 1.3, Align.RIGHT),
)
LEFT_COLUMNS = (TableColumn("Copy", 1.5, bold=True), TableColumn("Title", 6.0), TableColumn("Why it does not fit", 4.5))


def lay_out(paper: PlanPaper, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM) -> list[Page]:
    """Lay out a packing plan: the copies of each box by pile, from the bottom of each pile.

    Args:
        paper: finished texts and numbers.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    sheet = Sheet(Head(say("Packing plan"), day_text(paper.on)), measure, paper_mm)
    for remark in paper.remarks:
        sheet.paragraph(remark)
    columns = sheet.size_columns(PLAN_COLUMNS, (_planned(copy) for box in paper.boxes for copy in box.copies))
    for box in paper.boxes:
        kind = ", ".join(filter(None, (box.kind, box.room)))
        caution = f" {box.caution}." if box.caution else ""
        about = say("{box}: {kind}, about {mass}.", box=box.name, kind=kind, mass=kg_text(box.mass_g))
        sheet.heading(about + caution)
        sheet.table(columns, map(_planned, box.copies))
    if paper.left:
        sheet.heading(say("Not planned"))
        sheet.table(LEFT_COLUMNS, paper.left)
    return sheet.finish()


def _planned(copy: PlannedCopy) -> tuple[str, ...]:
    return (str(copy.pile or "–"), str(copy.layer or "–"), copy.number, copy.title, kg_text(copy.mass_g))
