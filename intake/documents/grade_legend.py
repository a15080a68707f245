"""What the letters of grades mean, below a list that has them."""

from collections.abc import Sequence

from intake.documents.page_flow import SMALL_PT, Sheet
from intake.units.language import say


def set_legend(sheet: Sheet, legend: Sequence[str]) -> None:
    """Say what the letters of the grades mean, where there are any."""
    if not legend:
        return
    with sheet.together():
        sheet.heading(say("What the grades mean"))
        sheet.paragraph(say("Book, and after the stroke its jacket."), size_pt=SMALL_PT)
        for sentence in legend:
            sheet.paragraph(sentence, size_pt=SMALL_PT)
