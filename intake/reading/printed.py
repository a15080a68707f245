"""Numbers in lines of text: the digits under the bars, and ISBN, SBN and ISSN on a copyright page.

Every number returned has a right check digit. It is found in one of three ways:

- **after a label** ("ISBN", "SBN", "ISSN", "ISBN-13:", "ISBN (hardback)"), divided by any hyphens and spaces; further
  numbers may follow the first, and the words in brackets are kept so that a person can choose the volume or binding;
- **under bars**, when the lines were read in a crop around a symbol: 13 digits, 12 of a UPC-A, 8 of an EAN-8, in one
  piece or in several on one row;
- **bare**: 13 digits that begin with 977, 978 or 979, or are grouped 1 6 6 or 1 5 5 1 as under bars. Any other bare
  digits may just as well be a telephone number, a price or a shelfmark.

A number is *repaired*, and counts less, where a letter was replaced by the digit it looks like (O 0, I l 1, S 5, B 8),
where guard bars were read as ones between the digits, or where the 9 that is printed apart before an ISBN's bars was
not read; a repair is made only after a label or under bars, and only if the check digit is then right.

Whether a prefix is in use is not checked. Sources: ISBN Users' Manual (International ISBN Agency), 7th edition, on how
the number is displayed, and its appendix on check digits; GS1 General Specifications, 5.2 (digits under EAN/UPC bars);
that the SBN of 1967 to 1974 is an ISBN-10 without its leading 0, and which letters look like digits, is common
knowledge of the trade (from memory).
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from stdnum import isbn, issn

from intake.model.readings import Point, TextLine
from intake.reading.symbol_forms import ean_number, is_ean
from intake.reading.text_rows import READ_WELL, TextRow, rows_of

BOOKS = ("977", "978", "979")
LOOKS_LIKE = str.maketrans("OoIl|SsB", "00111558")
MOST_REPAIRED = 2
"""Most letters in one number that are replaced by digits; a text with more is a word."""

ASCII: dict[int, int | str] = {
    **{wide: wide - 0xFEE0 for wide in range(0xFF01, 0xFF5F)},
    **dict.fromkeys([0xAD, *range(0x2010, 0x2016), 0x2212, 0xFE58, 0xFE63, 0xFF0D], "-"),
    **dict.fromkeys([0xA0, 0x2007, 0x2009, 0x202F, 0x3000], " "),
    **dict.fromkeys([0x201C, 0x201D, 0x2033, 0x27, 0x2019, 0xB7, 0x2022], '"'),
}
"""Plain forms of full-width characters, hyphens, spaces, and of the marks that bars leave between digits."""

LABEL = re.compile(r"(?<![A-Z0-9])(?:E-?)?(?P<label>[I1L|!][S5][B8]N|[S5][B8]N|[I1L|!][S5][S5]N)", re.IGNORECASE)
BEFORE = re.compile(
    r"(?:s\b)?(?:[\s.:;=#-]*(?:1[03](?![0-9A-Z])|\((?P<words>[^()]{1,40})\)))*[\s.:;=#-]*", re.IGNORECASE
)
"""What may stand between a label and its number: ISBN-13:, ISBN (hardback)."""
NAMED = re.compile(r"[\s-]*(?P<words>[^\n:0-9][^\n:]{0,30}):[\s-]*")
"""The same without brackets: ISBN Band 1: …"""
BEHIND = re.compile(r"[ \n]*[(\[](?P<words>[^()\[\]]{1,40})[)\]]")
NEXT = re.compile(r"[\s,;/&]*(?:and |or |und |et )?\s*", re.IGNORECASE)
CHARACTER = re.compile(r'[-. "]{0,3}(?P<character>[0-9OoIl|SsBXx])')
MORE = re.compile(r"[- ]{0,2}[0-9]")
BARE = re.compile(r'(?<![0-9A-Za-z+.-])9[ "]{0,2}7[789](?:[-. "]{0,2}[0-9]){10}(?![0-9]|-[0-9])')
GROUPS = (r'[0-9][ "]+[0-9]{6}[ "]+[0-9]{6}', r'[0-9][ "]+[0-9]{5}[ "]*[0-9]{5}[ "]+[0-9]')
GROUPED = re.compile(rf"(?<![0-9A-Za-z+.,-])(?:{'|'.join(GROUPS)})(?![0-9A-Za-z.,-])")
UNDER_BARS = re.compile(r'(?=[^0-9]*[0-9])[0-9OoIl|SsB"<>]+')
"""A word of digits, with the marks that bars leave among them."""
SUPPLEMENTS = (2, 5)


@dataclass(frozen=True, slots=True)
class PrintedNumber:
    """One number with a right check digit.

    Attributes:
        number: 13 digits.
        label: "ISBN", "SBN", "ISSN", "bars", or "" for a bare number.
        words: the words in brackets beside it ("hardback", "set").
        repaired: whether letters or other marks were replaced by digits; such a number counts less.
        score: 0 to 1, the lowest confidence of its pieces of text.
        corners: of a rectangle around its pieces, in pixels of the picture of the lines.
    """

    number: str
    label: str = ""
    words: str = ""
    repaired: bool = False
    score: float = 1.0
    corners: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class PrintedMatch:
    """A number in a text, and its start and end there."""

    number: str
    label: str
    start: int
    end: int
    words: str = ""
    repaired: bool = False


def printed_numbers(lines: Sequence[TextLine], *, under_bars: bool = False) -> tuple[PrintedNumber, ...]:
    """Return the numbers in lines of text, each once, those after a label first.

    Args:
        lines: as read, in any order.
        under_bars: whether the lines were read in a crop around a symbol, so that bare digits may be those of its bars.

    >>> [(one.number, one.words) for one in printed_numbers([TextLine("ISBN 0 306 40615 2 (cloth)", (0, 0, 90, 9))])]
    [('9780306406157', 'cloth')]
    """
    rows = rows_of([line for line in lines if line.score >= READ_WELL])
    text, starts = "", []
    for row in rows:
        starts.append(len(text))
        text += row.text + "\n"
    text = text.translate(ASCII)
    matches = [*find_labelled(text), *find_bare(text)]
    if under_bars:
        for row, start in zip(rows, starts, strict=True):
            matches += find_below_bars(text[start : start + len(row.text)], start)
    by_number: dict[str, PrintedNumber] = {}
    for match in sorted(matches, key=lambda match: match.repaired):
        by_number.setdefault(match.number, locate_match(match, rows, starts))
    return tuple(by_number.values())


def locate_match(match: PrintedMatch, rows: Sequence[TextRow], starts: Sequence[int]) -> PrintedNumber:
    """Return a match with its corners and score, from the pieces of text that contain it."""
    pieces = [
        piece
        for row, start in zip(rows, starts, strict=True)
        for piece in row.between(match.start - start, match.end - start)
    ]
    xs, ys = zip(*(point for piece in pieces for point in piece.outline), strict=True)
    corners = ((min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys)))
    score = min(piece.score for piece in pieces)
    return PrintedNumber(match.number, match.label, match.words, match.repaired, score, corners)


def find_labelled(text: str) -> Iterator[PrintedMatch]:
    """Yield the numbers after a label; several may follow one."""
    for label in LABEL.finditer(text):
        letters = label["label"].upper()
        kind = "SBN" if len(letters) == 3 else "ISSN" if letters[2] in "S5" else "ISBN"
        match = after_label(text, label.end(), kind)
        while match is not None:
            behind = BEHIND.match(text, match.end)
            words = match.words or (behind["words"].strip() if behind else "")
            yield PrintedMatch(match.number, kind, match.start, match.end, words, match.repaired)
            follow = NEXT.match(text, behind.end() if behind else match.end)
            match = number_at(text, follow.end(), kind) if follow else None


def after_label(text: str, start: int, kind: str) -> PrintedMatch | None:
    """Return the number that follows a label, with or without text between the two."""
    for between in (BEFORE, NAMED):
        gap = between.match(text, start)
        match = number_at(text, gap.end(), kind) if gap else None
        if gap and match is not None:
            words = (gap["words"] or "").strip()
            return PrintedMatch(
                match.number, kind, match.start, match.end, "" if words in ("10", "13") else words, match.repaired
            )
    return None


def number_at(text: str, start: int, kind: str) -> PrintedMatch | None:
    """Return the number that begins at a position of a text, or None."""
    characters: list[str] = []
    ends: list[int] = []
    at = start
    while len(characters) < 13 and (character := CHARACTER.match(text, at)):
        characters.append(character["character"])
        at = character.end()
        ends.append(at)
    raw = "".join(characters)
    begins = raw.translate(LOOKS_LIKE)[:3]
    for length in {"ISBN": (13, 10), "SBN": (13, 10, 9), "ISSN": (13, 8)}[kind]:
        if len(raw) < length or text[ends[length - 1] : ends[length - 1] + 1].isdigit():
            continue
        # The beginning of a longer, misread number has the check digit of a shorter one in one case of eleven.
        more = MORE.match(text, ends[length - 1]) is not None
        if more and (begins in BOOKS or length < 10) and length < 13:
            continue
        repaired = letters_to_digits(raw[:length])
        number = to_13_digits(repaired, kind) if repaired else None
        if number:
            return PrintedMatch(number, kind, start, ends[length - 1], repaired=repaired != raw[:length].upper())
    return None


def letters_to_digits(raw: str) -> str | None:
    """Replace letters by the digits they look like; None if there are more than `MOST_REPAIRED`."""
    last = "X" if raw[-1] in "Xx" else raw[-1].translate(LOOKS_LIKE)
    digits = raw[:-1].translate(LOOKS_LIKE) + last
    changed = sum(old.upper() != new for old, new in zip(raw, digits, strict=True))
    return digits if digits[:-1].isdigit() and changed <= MOST_REPAIRED else None


def to_13_digits(digits: str, kind: str) -> str | None:
    """Return the 13 digits of a number of any length; None if its check digit or its prefix is wrong for the label."""
    if len(digits) == 13:
        fits = digits.startswith("977") if kind == "ISSN" else digits.startswith(("978", "979"))
        return digits if fits and is_ean(digits) else None
    if len(digits) == 8:
        return str(issn.to_ean(digits)) if issn.is_valid(digits) else None
    ten = digits.zfill(10)
    return str(isbn.to_isbn13(ten)) if isbn.is_valid(ten) else None


def find_bare(text: str) -> Iterator[PrintedMatch]:
    """Yield the numbers that need no label, by their prefix or by their groups."""
    for form in (BARE, GROUPED):
        for match in form.finditer(text):
            number = ean_number(re.sub("[^0-9]", "", match[0]))
            if number:
                yield PrintedMatch(number, "" if form is BARE else "bars", match.start(), match.end())


def find_below_bars(row: str, offset: int) -> Iterator[PrintedMatch]:
    """Yield the number made of all pieces of digits on one row, without a supplement after them."""
    words = [
        piece
        for word in re.finditer(r"\S+", row)
        if UNDER_BARS.fullmatch(word[0])
        for piece in re.compile('[^"<>]+').finditer(row, word.start(), word.end())
    ]
    pieces = [word[0] for word in words]
    for last in range(len(pieces), 0, -1):
        number, repaired = parse_bar_digits(pieces[:last])
        if number:
            yield PrintedMatch(number, "bars", offset + words[0].start(), offset + words[last - 1].end(), "", repaired)
            return
        if len(pieces[last - 1]) not in SUPPLEMENTS:
            return


def parse_bar_digits(pieces: Sequence[str]) -> tuple[str | None, bool]:
    """Return the number of the digits of one row under bars, or None, and whether it was repaired."""
    raw = "".join(pieces)
    digits = letters_to_digits(raw) or ""
    if len(digits) not in range(8, 20) or not digits.isdigit():
        return None, False
    books = digits.startswith(BOOKS)
    if books and is_ean(digits):
        return digits, digits != raw
    numbers = set(repaired_isbns(digits))
    # Twelve of the 13 digits of an ISBN are a valid UPC-A in one case of ten, eight of any number a valid EAN-8.
    short = [len(piece) for piece in pieces] == [4, 4]
    if (len(digits) in (12, 13) or short) and not books and (number := ean_number(digits)):
        numbers.add(number)
    if len(numbers) != 1:
        return None, False
    (number,) = numbers
    return number, number.lstrip("0") != raw.lstrip("0")


def repaired_isbns(digits: str) -> Iterator[str]:
    """Yield the ISBNs in digits whose leading 9 was not read, or in which guard bars were read as ones.

    >>> set(repaired_isbns("9178030611406157")), set(repaired_isbns("780306406157"))
    ({'9780306406157'}, {'9780306406157'})
    """
    for left, middle, right in product(("", "1", "11"), repeat=3):
        match = re.fullmatch(rf"9?{left}(7[789][0-9]{{4}}){middle}([0-9]{{6}}){right}", digits)
        if match and is_ean(number := "9" + match[1] + match[2]):
            yield number
