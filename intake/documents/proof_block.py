"""The proof at the end of a list, as text and as a QR symbol, for checking the list later."""

from intake.documents import symbol_drawing
from intake.documents.page_flow import SMALL_PT, Sheet
from intake.model.pages import Mark
from intake.model.papers import SymbolKind
from intake.units.language import say, term

SIDE_MM = 46.0
MODULE_MM = (0.33, 0.6)
HOW = term(
    "The ledger of the library is a chain of SHA-256 digests. This proof names its last entry when the list was made;"
    " 'Check a printed list' at the desk, or 'intake verify', reads it from this file, from the symbol, or typed, and"
    " says whether the library still agrees and what was changed since. Keep this list apart from the library: a "
    "chain alone does not show that its end was cut off, or that all of it was computed anew; a head that was printed"
    " before does."
)


def set_proof(sheet: Sheet, text: str) -> None:
    """Set the proof, with text and symbol kept together; an empty text sets nothing."""
    if not text:
        return

    def draw(left_mm: float, top_mm: float) -> list[Mark]:
        box = symbol_drawing.SymbolFrame(left_mm, top_mm, SIDE_MM, SIDE_MM)
        lines = sheet.setter.fit(text, sheet.width_mm - SIDE_MM - 4.0, SIDE_MM, (6.0, 8.0))
        words = sheet.texts(lines, left_mm + SIDE_MM + 4.0, top_mm + MODULE_MM[0] * 4)
        return [*symbol_drawing.draw(SymbolKind.QR, text, box, MODULE_MM), *words]

    with sheet.together():
        sheet.heading(say("Proof"))
        sheet.paragraph(say(HOW), size_pt=SMALL_PT)
        sheet.place(SIDE_MM + 2.0, draw)
