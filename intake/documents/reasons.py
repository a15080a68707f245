"""Why copies are kept: pages after those of a paper, one row a copy."""

from collections.abc import Sequence

from intake.documents.page_flow import SMALL_PT, Head, Sheet, TableColumn
from intake.documents.text_fit import Measure
from intake.model.catalogues import KeptReason
from intake.model.pages import Page
from intake.model.papers import A4_MM
from intake.units.language import say, term

COLUMNS = (TableColumn("Copy", 1.4, bold=True), TableColumn("Title", 4.6), TableColumn("Why it is kept", 7.0))
TITLE = term("Why copies are kept")
OWN_WORDS = term("In the owner's words. Copies of which nothing is recorded are not listed here.")


def lay_out(
    reasons: Sequence[KeptReason], of: str, *, measure: Measure, paper_mm: tuple[float, float] = A4_MM
) -> list[Page]:
    """Lay out why copies are kept.

    Args:
        reasons: of each copy that has one, in order.
        of: the title of the paper that these pages belong to.
        measure: (text, size_pt, bold) -> width in mm.
        paper_mm: width and height.
    """
    sheet = Sheet(Head(say(TITLE), of), measure, paper_mm)
    sheet.paragraph(say(OWN_WORDS), size_pt=SMALL_PT)
    sheet.table(COLUMNS, ((reason.copy, reason.title, reason.words) for reason in reasons))
    return sheet.finish()
