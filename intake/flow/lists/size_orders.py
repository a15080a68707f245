"""In which order several sizes stand in one cell, as a heading names it."""

import re
from collections.abc import Mapping
from enum import StrEnum
from functools import cache

from intake.edges.exchange.heading_table import foreign_words


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
ORDER = re.compile(
    r"[(\[]?\s*\b([^\W\d_]+)\s*[x×*/]\s*([^\W\d_]+)(?:\s*[x×*/]\s*([^\W\d_]+))?\b\s*[)\]]?", re.IGNORECASE
)
ONE_LETTER = re.compile(r"[(\[]?\s*\b([a-z])\s*[x×*/]\s*([a-z])(?:\s*[x×*/]\s*([a-z]))?\b\s*[)\]]?", re.IGNORECASE)
FIELDS = {"h": "height_mm", "w": "width_mm", "t": "thickness_mm"}
ENGLISH = {"height": "h", "width": "w", "thickness": "t", "depth": "t", "spine": "t"}


def split_order(heading: str) -> tuple[str, SizeOrder | None]:
    """Split a heading into its words and the order that it names, None where it names none or one that is unclear.

    >>> split_order("Maße (H x B x T) in cm"), split_order("Dimensions (LxH)")
    (('Maße in cm', <SizeOrder.HEIGHT_WIDTH: 'hwt'>), ('Dimensions', None))
    >>> split_order("Format (BxH, cm)"), split_order("Medidas (alto x ancho x grueso cm)")
    (('Format (cm)', <SizeOrder.WIDTH_HEIGHT: 'wht'>), ('Medidas (cm)', <SizeOrder.HEIGHT_WIDTH: 'hwt'>))
    """
    match = ONE_LETTER.search(heading) or _in_words(heading)
    if match is None:
        return heading, None
    after = heading[match.end() :].lstrip(" ,;")
    is_cut = match[0].count("(") > match[0].count(")") or match[0].count("[") > match[0].count("]")
    rest = " ".join(f"{heading[: match.start()]} {'(' * is_cut}{after}".split())  # "(BxH, cm)" states a unit besides
    letters = [letter_of(name.casefold()) for name in match.groups() if name]
    letters += [letter for letter in "hwt" if letter not in letters] if len(letters) == 2 else []
    order = "".join(letters)
    return rest, SizeOrder(order) if order in set(SizeOrder) else None


def _in_words(heading: str) -> re.Match[str] | None:
    """Return the order that is written out, such as height x width; None where the words are others."""
    match = ORDER.search(heading)
    return (
        match if match is not None and all(letter_of(name.casefold()) in "hwt" for name in match.groups("h")) else None
    )


def letter_of(name: str) -> str:
    """Return which side an initial or a word is: h, w or t; ? for none."""
    return LETTERS.get(name) or _sides().get(name, "?")


@cache
def _sides() -> Mapping[str, str]:
    foreign = {word.casefold(): letter for letter, field in FIELDS.items() for word in foreign_words(field)}
    return {**foreign, **ENGLISH}
