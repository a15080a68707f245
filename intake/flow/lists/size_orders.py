"""In which order several sizes stand in one cell, as a heading names it."""

import re
from enum import StrEnum


class SizeOrder(StrEnum):
    """In which order height, width and thickness stand."""

    HEIGHT_WIDTH = "hwt"
    WIDTH_HEIGHT = "wht"
    WIDTH_THICKNESS = "wth"
    HEIGHT_THICKNESS = "htw"
    THICKNESS_HEIGHT = "thw"
    THICKNESS_WIDTH = "twh"


LETTERS = {**dict.fromkeys("ha", "h"), **dict.fromkeys("wb", "w"), **dict.fromkeys("tdeps", "t")}
"""Initials of height, width and thickness in headings: Höhe, hauteur, altura; Breite; Tiefe, depth, épaisseur …"""
ORDER = re.compile(r"[(\[]?\s*\b([a-z])\s*[x×*/]\s*([a-z])(?:\s*[x×*/]\s*([a-z]))?\b\s*[)\]]?", re.IGNORECASE)


def split_order(heading: str) -> tuple[str, SizeOrder | None]:
    """Split a heading into its words and the order that it names, None where it names none or one that is unclear.

    >>> split_order("Maße (H x B x T) in cm"), split_order("Dimensions (LxH)")
    (('Maße in cm', <SizeOrder.HEIGHT_WIDTH: 'hwt'>), ('Dimensions', None))
    """
    match = ORDER.search(heading)
    if match is None:
        return heading, None
    rest = " ".join((heading[: match.start()] + " " + heading[match.end() :]).split())
    letters = [LETTERS.get(letter.casefold(), "?") for letter in match.groups() if letter]
    letters += [letter for letter in "hwt" if letter not in letters] if len(letters) == 2 else []
    order = "".join(letters)
    return rest, SizeOrder(order) if order in set(SizeOrder) else None
