"""The words and numbers that people write into a list for a grade, a jacket and a box, made into the list's own.

Grades are the trade's words and letters ("VG", "NF"), and words of other languages that say the same; a plus or minus
is left out, for it stays within its grade. That translations of the words are the same grades is common practice, no
source; where a language's own scale has other steps (German 'befriedigend', French 'assez bon') a word is none here.
"""

import re
from collections.abc import Mapping
from functools import cache

from intake.edges.exchange import heading_table
from intake.edges.exchange.heading_table import foreign_words, words_in_cells
from intake.edges.exchange.outgoing import JACKET, NO_JACKET
from intake.flow.lists.heading_words import fold_heading, folded_words
from intake.model.editions import Grade

KINDS: Mapping[str, Grade] = {
    heading_table.AS_NEW: Grade.AS_NEW,
    heading_table.FINE: Grade.FINE,
    heading_table.NEAR_FINE: Grade.NEAR_FINE,
    heading_table.VERY_GOOD: Grade.VERY_GOOD,
    heading_table.GOOD: Grade.GOOD,
    heading_table.FAIR: Grade.FAIR,
    heading_table.POOR: Grade.POOR,
}
DASHES = frozenset("-–—−/")
WITHIN_GRADE = re.compile(r"\s*(?:[+\-–−]|\bplus|\bminus)\s*$", re.IGNORECASE)
BOX = re.compile(r"(?P<word>[^\d]*[^\W\d_][^\d]*?)[\s.:#°º]*(?P<digits>\d+)")
BOX_WORDS = ("box", "carton", "crate")
NUMBER_SIGNS = re.compile(r"(?:nr|no|n|num|numero|nummer|numer|番号)$")


def grade_read(text: str) -> str | None:
    """Return the grade that a text is, or book/jacket; '' for a dash, None where it is not understood.

    >>> grade_read("VG+"), grade_read("wie neu"), grade_read("NF/VG"), grade_read("nice")
    ('Very Good', 'As New', 'Near Fine/Very Good', None)
    """
    if text.strip() in DASHES:
        return ""
    book, stroke, jacket = text.partition("/")
    if (grade := _grade(book)) is None:
        return None
    if not stroke:
        return grade.value
    worn = jacket_read(jacket)
    return f"{grade.value}/{worn}" if worn else None


def jacket_read(text: str) -> str | None:
    """Return the grade of a jacket, whether there is one; '' for a dash, None where it is not understood.

    >>> jacket_read("VG-"), jacket_read("o. Su."), jacket_read("oui"), jacket_read("sans jaquette")
    ('Very Good', 'none', 'yes', 'none')
    """
    if text.strip() in DASHES:
        return ""
    folded = fold_heading(text)
    if folded in folded_words(heading_table.NO_JACKET):
        return NO_JACKET
    if folded in folded_words(heading_table.JACKET):
        return JACKET
    grade = _grade(text)
    return None if grade is None else grade.value


def box_read(text: str) -> str | None:
    """Return the digits of a box that is written with its word; None where the text is not of this form.

    >>> box_read("Kiste 3"), box_read("Box no. 7"), box_read("B3"), box_read("Shelf 3")
    ('3', '7', None, None)
    """
    match = BOX.fullmatch(text.strip())
    if match is None:
        return None
    word = fold_heading(match["word"])
    is_box = word in _box_words() or NUMBER_SIGNS.sub("", word) in _box_words()
    return match["digits"] if is_box else None


def _grade(text: str) -> Grade | None:
    return _grades().get(fold_heading(WITHIN_GRADE.sub("", text)))


@cache
def _grades() -> Mapping[str, Grade]:
    return {fold_heading(word): grade for kind, grade in KINDS.items() for word in words_in_cells(kind)}


@cache
def _box_words() -> frozenset[str]:
    folded = frozenset(map(fold_heading, (*BOX_WORDS, *foreign_words("box"))))
    return folded | {NUMBER_SIGNS.sub("", word) for word in folded}
