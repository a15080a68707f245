"""Typed or scanned text -> plain characters, the labels in it and its runs of digits.

A number comes with full-width digits from an East Asian keyboard, with any of two dozen dashes from a web page, with a
label ("ISBN-13:"), a price and "pbk" around it, or behind a symbology identifier from a scanner. This module finds the
digits and what stands beside them; it checks none of them.

Sources: Unicode Standard, general categories Nd (digits) and Pd (dashes); symbology identifiers: ISO/IEC 15424 (the few
values used here are from memory: E0 to E4 for the EAN/UPC family).
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

DASH_LOOKALIKES = "\u2212\u2043\u30fc\uff70\u2500"
"""Minus, hyphen bullet, the Japanese long-vowel mark (full and half width), box-drawing line: all typed as dashes."""

X_LOOKALIKES = "\u0425\u0445\u03a7\u03c7\u2169\u2179"
"""Cyrillic and Greek letters and Roman tens that look like the check character X."""


class NumberLabel(StrEnum):
    """What the words before a number say it is; FOREIGN numbers (of a library card, a telephone) are none of ours."""

    ISBN = "ISBN"
    SBN = "SBN"
    ISSN = "ISSN"
    ISMN = "ISMN"
    GTIN = "EAN or UPC"
    FOREIGN = "foreign"


LABELS = re.compile(
    r"(?P<ISBN>I\.?S\.?B\.?N\.?(?:[- ]?1[03](?!\d))?)|(?P<ISSN>ISSN(?:-L)?)|(?P<ISMN>ISMN)|(?P<SBN>(?<![A-Z])SBN)"
    r"|(?P<GTIN>\b(?:EAN|UPC|GTIN)(?:-?(?:1[234]|8)(?!\d)|-[AE]\b)?)"
    r"|(?P<FOREIGN>\b(?:LCCN|OCLC|(?:control|card) (?:no\.|number)|tel|fax|(?:tele)?phone)\b)",
    re.IGNORECASE,
)
PRICES = re.compile(r"(?<![\d.,-])\d{1,4}[.,]\d\d(?![\d-]|[.,]+\d)")
WORDS = re.compile(
    r"(?<![A-Za-z])[Mm](?=[ -]?\d)|\d+(?:[-.]{1,2}\d+)*(?:[-.]?[Xx](?![A-Za-z0-9]))?|(?<![A-Za-z])[Xx](?![A-Za-z])|\+"
)
GAP = re.compile(r"\s*-?\s*")
"""What may stand between two words of one number."""

LABEL_REACH = 40
"""Characters between a label and its number: room for "(hardback, vol. 1): ", not for a sentence."""


@dataclass(frozen=True, slots=True)
class WordRun:
    """Neighbouring words that may be one number.

    Attributes:
        words: as written, with their inner dashes: ("978-0-306-40615-7", "51299").
        label: the words before it, or None.
        plus: index of the word that a plus sign marks as the add-on, or None.
    """

    words: tuple[str, ...]
    label: NumberLabel | None = None
    plus: int | None = None

    @property
    def compact(self) -> tuple[str, ...]:
        """The words without dashes and dots, in capitals."""
        return tuple(compact(word) for word in self.words)

    @property
    def size(self) -> int:
        """Number of digits, X and M."""
        return sum(len(word) for word in self.compact)


def compact(word: str) -> str:
    """Drop dashes and dots; capitals."""
    return word.replace("-", "").replace(".", "").upper()


@lru_cache(maxsize=4096)
def plain_character(character: str) -> str:
    """Turn one character into its plain form: an ASCII digit, letter, dash or space, or itself."""
    if (digit := unicodedata.decimal(character, None)) is not None:
        return str(digit)
    category = unicodedata.category(character)
    if category == "Pd" or character in DASH_LOOKALIKES:
        return "-"
    if category == "Cf":  # zero-width marks that come along when a number is copied from a web page
        return ""
    if category[0] == "Z" or category == "Cc":
        return " "
    if character in X_LOOKALIKES:
        return "X"
    folded = unicodedata.normalize("NFKC", character)
    # Superscripts and circled numbers are footnote marks, no part of a number.
    return folded if folded.isascii() and unicodedata.numeric(character, None) is None else character


def plain(text: str) -> str:
    """Turn text into plain characters: digits of any script, any dash, any space.

    >>> plain("ＩＳＢＮ ９７８‐０")
    'ISBN 978-0'
    """
    if text.isascii() and text.isprintable():
        return text.strip()
    return "".join(map(plain_character, text)).strip()


def split_symbology(text: str) -> tuple[str, str]:
    """Split plain text into the scanner's symbology identifier ("E0"; "" if none) and the rest.

    >>> split_symbology("]E09780306406157")
    ('E0', '9780306406157')
    """
    found = re.match(r"\]([A-Za-z][0-9A-Za-z])", text)
    return (found[1], text[found.end() :].strip()) if found else ("", text)


def runs(text: str) -> Iterator[WordRun]:
    """Yield the runs of digits in plain text, in order, each with its label."""
    labels = [(found.end(), NumberLabel[str(found.lastgroup)]) for found in LABELS.finditer(text)]
    masked = LABELS.sub(lambda found: "|" * len(found[0]), text)
    masked = PRICES.sub(lambda found: "|" * len(found[0]), masked)
    waiting: list[re.Match[str]] = []
    next_label = 0
    for word in [*WORDS.finditer(masked), None]:
        if waiting and (word is None or not GAP.fullmatch(masked, waiting[-1].end(), word.start())):
            start, label = waiting[0].start(), None
            while next_label < len(labels) and labels[next_label][0] <= start:
                label = labels[next_label][1] if start - labels[next_label][0] <= LABEL_REACH else None
                next_label += 1
            yield make_run([found[0] for found in waiting], label)
            waiting = []
        if word is not None:
            waiting.append(word)


def make_run(words: list[str], label: NumberLabel | None) -> WordRun:
    """Make a run of its words, noting which one a plus sign marks."""
    plus = words.index("+") if "+" in words else None
    kept = tuple(word for word in words if word != "+")
    return WordRun(kept, label, plus if plus and plus < len(kept) else None)
