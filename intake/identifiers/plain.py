"""Typed or scanned text -> plain characters, the labels in it and its runs of digits.

A number may have full-width digits from an East Asian keyboard, any of two dozen dashes from a web page, a label
("ISBN-13:"), a price and "pbk" around it, or a symbology identifier from a scanner before it. This module finds the
digits and the label before them; it checks no number.

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
"""Minus, hyphen bullet, Japanese long-vowel mark (full and half width), box-drawing line: all are typed as dashes."""

X_LOOKALIKES = "\u0425\u0445\u03a7\u03c7\u2169\u2179"
"""Cyrillic and Greek letters and Roman tens that look like the check character X."""


class NumberLabel(StrEnum):
    """The kind of number that a label announces; FOREIGN is any kind not read here (library card, telephone)."""

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
    r"(?<![A-Za-z0-9])(?<!\d-)[Mm](?=[ -]?\d)|\d+(?:[-.]{1,2}\d+)*(?:[-.]{0,2}[Xx](?![A-Za-z0-9]))?"
    r"|(?<![A-Za-z0-9])[Xx](?![A-Za-z0-9])|\+"
)
GAP = re.compile(r"\s*-?\s*")
"""The separator between two words of one number."""

BRACKETED = re.compile(r"\(([^()]*)\)|\[([^\[\]]*)\]")
MASK = "\0"
"""Stands for what ends a number beyond doubt (a label, a price, a pair of brackets); no plain text has it."""
SEPARATOR = re.compile(rf"[\s{MASK}]")
NEARBY = 40
"""Most characters looked at on each side of a run for what touches it."""

LABEL_REACH = 40
"""Most characters between a label and its number: room for "(hardback, vol. 1): ", not for a sentence."""


@dataclass(frozen=True, slots=True)
class WordRun:
    """Adjacent words of digits that may be one number.

    Attributes:
        words: as written, with their inner dashes: ("978-0-306-40615-7", "51299").
        label: the label before them, or None.
        plus: index of the word that a plus sign marks as the add-on, or None.
        before, after: what touches the run without a space between: ("978A", ""), ("", "pbk").
    """

    words: tuple[str, ...]
    label: NumberLabel | None = None
    plus: int | None = None
    before: str = ""
    after: str = ""

    @property
    def compact(self) -> tuple[str, ...]:
        """The words without dashes and dots, in capitals."""
        return tuple(compact(word) for word in self.words)

    @property
    def size(self) -> int:
        """Number of digits, X and M."""
        return sum(len(word) for word in self.compact)

    @property
    def touching(self) -> tuple[str, ...]:
        """The letters and digits that touch the run, with what is between; none where only punctuation does."""
        return tuple(side for side in (self.before, self.after) if any(map(str.isalnum, side)))


def compact(word: str) -> str:
    """Return the word in capitals, without dashes and dots."""
    return word.replace("-", "").replace(".", "").upper()


@lru_cache(maxsize=4096)
def plain_character(character: str) -> str:
    """Return the plain form of one character: an ASCII digit, letter, dash or space, or the character itself."""
    if (digit := unicodedata.decimal(character, None)) is not None:
        return str(digit)
    category = unicodedata.category(character)
    if category == "Pd" or character in DASH_LOOKALIKES:
        return "-"
    if category == "Cf":  # zero-width marks, copied from a web page together with the number
        return ""
    if category[0] == "Z" or category == "Cc":
        return " "
    if character in X_LOOKALIKES:
        return "X"
    folded = unicodedata.normalize("NFKC", character)
    # Superscripts and circled numbers are footnote marks, not part of a number.
    return folded if folded.isascii() and unicodedata.numeric(character, None) is None else character


def plain(text: str) -> str:
    """Convert digits of any script, all dashes and all spaces to their ASCII forms.

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
    match = re.match(r"\]([A-Za-z][0-9A-Za-z])", text)
    return (match[1], text[match.end() :].strip()) if match else ("", text)


def runs(text: str) -> Iterator[WordRun]:
    """Yield the runs of digits in plain text, in order, each with its label."""
    labels = [(match.end(), NumberLabel[str(match.lastgroup)]) for match in LABELS.finditer(text)]
    masked = LABELS.sub(lambda match: MASK * len(match[0]), text)
    masked = PRICES.sub(lambda match: MASK * len(match[0]), masked)
    masked = BRACKETED.sub(lambda match: f"{MASK}{match[1] or match[2] or ''}{MASK}", masked)
    words: list[re.Match[str]] = []
    next_label = 0
    for word in [*WORDS.finditer(masked), None]:
        if words and (word is None or not GAP.fullmatch(masked, words[-1].end(), word.start())):
            start, label = words[0].start(), None
            while next_label < len(labels) and labels[next_label][0] <= start:
                label = labels[next_label][1] if start - labels[next_label][0] <= LABEL_REACH else None
                next_label += 1
            yield make_run(words, label, masked)
            words = []
        if word is not None:
            words.append(word)


def make_run(matches: list[re.Match[str]], label: NumberLabel | None, text: str) -> WordRun:
    """Return a run of words without the plus sign; `plus` is the index of the word after it."""
    words = [match[0] for match in matches]
    plus = words.index("+") if "+" in words else None
    digit_words = tuple(word for word in words if word != "+")
    start, end = matches[0].start(), matches[-1].end()
    before = SEPARATOR.split(text[max(0, start - NEARBY) : start])[-1]
    after = SEPARATOR.split(text[end : end + NEARBY])[0]
    return WordRun(digit_words, label, plus if plus and plus < len(digit_words) else None, before, after)
