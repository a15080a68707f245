"""Call numbers of Dewey's and the Library of Congress's classifications, as keys that sort as their rules say.

Both are read part by part, and nothing comes before something: 599 before 599.01, QA76 before QA76.5. What stands
behind the point of a Dewey number and behind the letter of a Cutter is a decimal: .R275 before .R3. A Library of
Congress class number counts as a whole number: QA9 before QA76. A year comes before a Cutter, a volume is a number.
(Library of Congress, Shelflisting Manual, and the introduction to Dewey's schedules; both from memory.) That a number
exists in the schedules is not checked.
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
"""Digits to which whole numbers are filled up, so that they compare as texts."""


def dewey_key(text: str) -> CallKey | None:
    """Return the key of a Dewey number, None for a text that is none.

    Args:
        text: the class with its book number ("595.7 H81"); slashes and primes that mark segments do not count. Letters
            before the class (a collection: "R", "J") make a sequence of their own.

    >>> sorted(["599.1", "599", "R 500", "599.09"], key=dewey_key)
    ['599', '599.09', '599.1', 'R 500']
    """
    found = DEWEY.fullmatch(text.strip())
    if found is None:
        return None
    decimal = re.sub(r"\D", "", found["decimal"] or "")
    prefix = found["prefix"].strip(" .").upper()
    return ((NUMBER, prefix, ""), (NUMBER, found["whole"], decimal), *_rest(found["rest"]))


def congress_key(text: str) -> CallKey | None:
    """Return the key of a Library of Congress call number, None for a text that is none.

    >>> sorted(["QL676.5 .R3", "QL676 .Z9", "QL676.5 .R275", "Q1 .A1"], key=congress_key)
    ['Q1 .A1', 'QL676 .Z9', 'QL676.5 .R275', 'QL676.5 .R3']
    """
    found = CONGRESS.fullmatch(text.strip())
    if found is None:
        return None
    class_number = (NUMBER, found["whole"].zfill(WIDTH), found["decimal"] or "")
    return ((NUMBER, found["letters"].upper(), ""), class_number, *_rest(found["rest"]))


def _rest(text: str) -> list[Part]:
    """Read what follows the class: years, Cutters, volumes and words."""
    parts: list[Part] = []
    for found in TOKEN.finditer(text):
        if found["year"]:
            parts.append((YEAR, found["year"].lower(), ""))
        elif found["cutter"]:
            parts.append(_cutter(found["cutter"].upper()))
        elif found["number"]:
            parts.append((NUMBER, found["number"].zfill(WIDTH), ""))
        else:
            parts.append((WORD, found["word"].upper(), ""))
    return parts


def _cutter(text: str) -> Part:
    """Read letter, decimal and work mark: D25 before D25x, and both before D251."""
    found = CUTTER_PARTS.fullmatch(text)
    if found is None:
        return (CUTTER, text, "")
    letter, digits, mark = found.groups()
    return (CUTTER, letter, f"{digits} {mark}")
