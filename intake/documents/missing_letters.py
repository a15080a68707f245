"""The last line of a paper, where it names the letters that no font has: the paper shows a replacement for each."""

import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from intake.documents.text_fit import Measure, line_mm, setter_for
from intake.model.pages import ContentOf, ElementKind, Page, StructureElement, Text
from intake.units.language import say

SIZES_PT = (4.0, 7.5)
LEFT_MM = 16.0
ABOVE_EDGE_MM = 8.0
NAMED = 6
"""The most letters that are named; of more, the number is said."""


def name_missing(pages: Sequence[Page], missing: Sequence[str], measure: Measure) -> list[Page]:
    """Return pages of which the last names what is missing on them; as they are where nothing is.

    Args:
        pages: one or more.
        missing: letters that no font has.
        measure: (text, size_pt, bold) -> width in mm.
    """
    if not missing:
        return list(pages)
    *before, last = pages
    width = last.width_mm - 2 * LEFT_MM
    fitted = setter_for(measure).fit(missing_words(missing), width, line_mm(SIZES_PT[0]), SIZES_PT)
    y = last.height_mm - ABOVE_EDGE_MM
    marks = (Text(LEFT_MM, y, line, fitted.size_pt) for line in fitted.lines)
    paragraph = ContentOf(StructureElement(ElementKind.PARAGRAPH))
    return [*before, replace(last, marks=(*last.marks, paragraph, *marks))]


def missing_words(missing: Sequence[str]) -> str:
    """Say which letters no font has.

    >>> missing_words(["\U00013000"])
    'No font has, and so printed as a replacement: U+13000 EGYPTIAN HIEROGLYPH A001'
    """
    named = [f"U+{ord(letter):04X} {unicodedata.name(letter, '')}".rstrip() for letter in missing[:NAMED]]
    letters = ", ".join(named)
    if len(missing) > NAMED:
        letters = say("{letters}, and {more} more", letters=letters, more=len(missing) - NAMED)
    return say("No font has, and so printed as a replacement: {letters}", letters=letters)
