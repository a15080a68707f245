"""Call numbers of Dewey's and the Library of Congress's classifications as sort keys that follow their filing rules.

Both are read part by part, and nothing files before something: 599 before 599.01, QA76 before QA76.5. The digits after
the point of a Dewey number and after the letter of a Cutter are decimals: .R275 before .R3. A Library of Congress class
number is a whole number: QA9 before QA76. A year files before a Cutter, and a volume is a number. (Library of Congress,
Shelflisting Manual, and the introduction to Dewey's schedules; both from memory.) Whether a number exists in the
schedules is not checked.
"""

import re

Part = tuple[int, str, str]
CallKey = tuple[Part, ...]
"""Each part: its rank, its letters or whole number, its decimals."""

NUMBER, YEAR, CUTTER, WORD = 1, 2, 3, 4

DEWEY = re.compile(
    r"(?P<prefix>[A-Za-z]{0,4}\.?\s*)(?P<whole>\d{3})(?:\.(?P<decimal>\d[\d/'′]*))?(?P<rest>.*)", re.DOTALL
)
CONGRESS = re.compile(r"(?P<letters>[A-Za-z]{1,3})\s*(?P<whole>\d{1,4})(?:\.(?P<decimal>\d+))?(?P<rest>.*)", re.DOTALL)
TOKEN = re.compile(r"(?P<year>\d{4}[a-z]?)\b|(?P<cutter>[A-Za-z]\d+[a-z]*)|(?P<number>\d+)|(?P<word>[^\W\d_]+)")
CUTTER_PARTS = re.compile(r"([A-Z])(\d+)([A-Z]*)")
WIDTH = 6
"""Digits to which whole numbers are padded, so that they compare as texts."""


def dewey_key(text: str) -> CallKey | None:
    """Return the key of a Dewey number, or None if the text is not one.

    Args:
        text: the class with its book number ("595.7 H81"); slashes and primes that mark segments are ignored. Letters
            before the class (a collection: "R", "J") form a separate sequence.

    >>> sorted(["599.1", "599", "R 500", "599.09"], key=dewey_key)
    ['599', '599.09', '599.1', 'R 500']
    """
    match = DEWEY.fullmatch(text.strip())
    if match is None:
        return None
    decimal = re.sub(r"\D", "", match["decimal"] or "")
    prefix = match["prefix"].strip(" .").upper()
    return ((NUMBER, prefix, ""), (NUMBER, match["whole"], decimal), *_rest(match["rest"]))


def congress_key(text: str) -> CallKey | None:
    """Return the key of a Library of Congress call number, or None if the text is not one.

    >>> sorted(["QL676.5 .R3", "QL676 .Z9", "QL676.5 .R275", "Q1 .A1"], key=congress_key)
    ['Q1 .A1', 'QL676 .Z9', 'QL676.5 .R275', 'QL676.5 .R3']
    """
    match = CONGRESS.fullmatch(text.strip())
    if match is None:
        return None
    class_number = (NUMBER, match["whole"].zfill(WIDTH), match["decimal"] or "")
    return ((NUMBER, match["letters"].upper(), ""), class_number, *_rest(match["rest"]))


def _rest(text: str) -> list[Part]:
    """Read what follows the class: years, Cutters, volumes and words."""
    parts: list[Part] = []
    for match in TOKEN.finditer(text):
        if match["year"]:
            parts.append((YEAR, match["year"].lower(), ""))
        elif match["cutter"]:
            parts.append(_cutter(match["cutter"].upper()))
        elif match["number"]:
            parts.append((NUMBER, match["number"].zfill(WIDTH), ""))
        else:
            parts.append((WORD, match["word"].upper(), ""))
    return parts


def _cutter(text: str) -> Part:
    """Read letter, decimal and work mark: D25 before D25x, and both before D251."""
    match = CUTTER_PARTS.fullmatch(text)
    if match is None:
        return (CUTTER, text, "")
    letter, digits, mark = match.groups()
    return (CUTTER, letter, f"{digits} {mark}")
