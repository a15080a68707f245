"""Fitting a text into a rectangle: the largest type that fits, wrapped; at the smallest size cut with an ellipsis.

Lines break between words, after a hyphen between letters, and between ideographs or kana (but not before a closing
mark). An amount of money and the code of its currency ("EUR 1,250.50") stay on one line, as do words with a no-break
space (U+00A0) between them. Words are not hyphenated, and scripts that need a dictionary to find words (Thai, Khmer)
are not broken. That small type is better than lost words is common practice, no source; the break opportunities are a
small subset of Unicode Standard Annex 14, the direction of a line is rule P2 of Annex 9.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from intake.model.currencies import currency_codes
from intake.units.convert import pt_to_mm

Measure = Callable[[str, float, bool], float]
"""(text, size_pt, bold) -> width in mm; proportional to the size."""

ASCENT_EM = 0.92
"""From the top of a line to its baseline: enough for an accented capital and for a full-width ideograph."""
LEADING_EM = 1.2
"""From one baseline to the next, and so the height of one line."""
STEP_PT = 0.5
ELLIPSIS = "…"
HAS_DIGIT = re.compile(r"\d")
LONGEST_NUMBER = 40
"""Letters of an amount of 15 digits with its currency and marks, and some more."""
ENDLESS_MM = 1e6
"""A height that no text reaches, for one that is set in as many lines as it needs."""

NO_START = frozenset("、。，．：；？！）」』】〉》〕］｝々ーぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮ")
_SPACES = re.compile(r"[^\S\u00a0]+")
_JOINTS = frozenset("=×")
_VOLUME_WORDS = frozenset(("vol.", "vols.", "volume", "volumes"))
_UNITS = frozenset(("kg", "g", "lb", "oz", "mm", "cm", "m", "m²", "m³", "%", "SDR"))
_NUMBER = re.compile(r"[(±−-]*\d[\d.,]*")
_ROMAN = re.compile(r"[IVXLC]+[,;.:)]*")
LEFT_MARK, RIGHT_MARK = "\u200e", "\u200f"


@dataclass(frozen=True, slots=True)
class Fitted:
    """The lines of a text at the size at which they fit; `cut` is True if words were lost."""

    lines: tuple[str, ...]
    size_pt: float
    cut: bool = False

    @property
    def height_mm(self) -> float:
        """Return the height of all lines."""
        return len(self.lines) * line_mm(self.size_pt)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of text that is kept on one line; `unit` is its width in mm at 1 pt, `spaced` if a space precedes it."""

    text: str
    unit: float
    spaced: bool

    @property
    def is_number(self) -> bool:
        """Return whether it is a number, an amount or the like, which says something else once it is broken."""
        return len(self.text) <= LONGEST_NUMBER and HAS_DIGIT.search(self.text) is not None


@dataclass(frozen=True, slots=True)
class TextSizes:
    """Widths in mm at 1 pt: of the longest number or amount of a text, of its longest word, and of all on one line."""

    number: float = 0.0
    word: float = 0.0
    line: float = 0.0


def line_mm(size_pt: float) -> float:
    """Return the height of one line of a type size."""
    return pt_to_mm(size_pt) * LEADING_EM


class Setter:
    """Fits texts with one measuring function, and caches the widths of words."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._units: dict[tuple[str, bool], float] = {}
        self._found: dict[tuple[str, bool], list[Piece]] = {}

    def unit(self, text: str, *, bold: bool) -> float:
        """Return the width of a text in mm at 1 pt."""
        key = (text, bold)
        if key not in self._units:
            self._units[key] = self.measure(text, 100.0, bold) / 100.0
        return self._units[key]

    def fit(
        self, text: str, width_mm: float, height_mm: float, size_pt: tuple[float, float], *, bold: bool = False
    ) -> Fitted:
        """Fit a text into a rectangle.

        Args:
            text: may contain line breaks, which count as spaces.
            width_mm: width of the rectangle.
            height_mm: height of the rectangle; at least one line is set even if it is lower than that.
            size_pt: smallest and largest size.
            bold: whether the bold weight is measured.
        """
        pieces = self._pieces(text, bold=bold)
        if not pieces:
            return Fitted((), size_pt[1])
        space = self.unit(" ", bold=bold)
        smallest, size = size_pt[0], size_pt[1]
        while size > smallest and not _fits(pieces, space, width_mm, height_mm, size):
            size = max(smallest, size - STEP_PT)
        room = max(1, int(height_mm / line_mm(size) + 1e-9))
        lines = _wrap(self._broken(pieces, width_mm / size, bold=bold), space, width_mm / size)
        if len(lines) > room:
            kept = self._cut(" ".join(lines[room - 1 :]), width_mm / size, bold=bold)
            return Fitted(_with_direction([*lines[: room - 1], kept]), size, cut=True)
        return Fitted(_with_direction(lines), size)

    def lines(self, text: str, width_mm: float, size_pt: float, *, bold: bool = False) -> list[str]:
        """Return all lines of a text at one size; a line break in it begins a new one."""
        room, space = width_mm / size_pt, self.unit(" ", bold=bold)
        lines: list[str] = []
        for paragraph in text.split("\n"):
            pieces = self._pieces(paragraph, bold=bold)
            if pieces:
                lines += _with_direction(_wrap(self._broken(pieces, room, bold=bold), space, room))
        return lines

    def sizes(self, text: str, *, bold: bool) -> TextSizes:
        """Return how wide the parts of a text are that are kept on one line, and the whole of it."""
        pieces, space = self._pieces(text, bold=bold), self.unit(" ", bold=bold)
        number = word = line = 0.0
        for piece in pieces:
            if piece.is_number:
                number = max(number, piece.unit)
            else:
                word = max(word, piece.unit)
            line += piece.unit + (space if piece.spaced and line else 0.0)
        return TextSizes(number, word, line)

    def _pieces(self, text: str, *, bold: bool) -> list[Piece]:
        key = (text, bold)
        if key not in self._found:
            self._found[key] = [
                Piece(part, self.unit(part, bold=bold), spaced=place == 0)
                for word in _words(unicodedata.normalize("NFC", text))
                for place, part in enumerate(_parts(word))
            ]
        return self._found[key]

    def _broken(self, pieces: list[Piece], room: float, *, bold: bool) -> list[Piece]:
        """Break pieces that are longer than a line between their letters."""
        out: list[Piece] = []
        for piece in pieces:
            if piece.unit <= room:
                out.append(piece)
                continue
            words = piece.text.split(" ")
            if len(words) > 1 and (not _JOINTS.isdisjoint(words) or _is_unit(words[-1])):
                parts = [Piece(x, self.unit(x, bold=bold), piece.spaced or n > 0) for n, x in enumerate(words)]
                out += self._broken(parts, room, bold=bold)
                continue
            letters = _clusters(piece.text)
            units = [self.unit(letter, bold=bold) for letter in letters]
            out += [Piece(x, u, piece.spaced and n == 0) for n, (x, u) in enumerate(zip(letters, units, strict=True))]
        return out

    def _cut(self, text: str, room: float, *, bold: bool) -> str:
        """Return as much of a line as fits together with an ellipsis."""
        letters = _clusters(text)
        low, high = 0, len(letters)
        while low < high:
            middle = (low + high + 1) // 2
            if self.measure("".join(letters[:middle]).rstrip() + ELLIPSIS, 100.0, bold) / 100.0 <= room:
                low = middle
            else:
                high = middle - 1
        return "".join(letters[:low]).rstrip() + ELLIPSIS


def _fits(pieces: list[Piece], space: float, width_mm: float, height_mm: float, size_pt: float) -> bool:
    room = width_mm / size_pt
    if max(piece.unit for piece in pieces) > room:
        return False
    return len(_wrap(pieces, space, room)) * line_mm(size_pt) <= height_mm + 1e-9


def _wrap(pieces: list[Piece], space: float, room: float) -> list[str]:
    lines: list[str] = []
    line, used = "", 0.0
    for piece in pieces:
        gap = space if piece.spaced and line else 0.0
        if line and used + gap + piece.unit > room + 1e-9:
            lines.append(line)
            line, used = piece.text, piece.unit
        else:
            line += (" " if gap else "") + piece.text
            used += gap + piece.unit
    return [*lines, line]


def _words(text: str) -> list[str]:
    """Split a text at its spaces, but not at a no-break space, nor within what is read as one.

    That is an amount of money, a rate ("EUR 1 = GBP 0.85"), a size ("450 × 350"), a mass or another figure with its
    unit ("1.968 kg"), and a volume ("vol. 1").
    """
    words: list[str] = []
    for word in _SPACES.split(text):
        if words and word and _belongs(words[-1].rpartition(" ")[2], word):
            words[-1] += f" {word}"
        elif word:
            words.append(word)
    return words


def _belongs(before: str, word: str) -> bool:
    """Return whether a word is read as one with the word before it."""
    if word in _JOINTS:
        return before[-1:].isdigit()
    if before in _JOINTS:
        return True
    if _is_unit(word):
        return _NUMBER.fullmatch(before) is not None
    if before.lower() in _VOLUME_WORDS:
        return word[:1].isdigit() or _ROMAN.fullmatch(word) is not None
    return word[:1].isdigit() and _is_currency(before)


def _is_unit(word: str) -> bool:
    return word.rstrip(",;.:)") in _UNITS


def _is_currency(word: str) -> bool:
    """Return whether a word ends in a code of ISO 4217 that stands by itself: "EUR", "(EUR"."""
    return word[-3:] in currency_codes() and not word[:-3].isalnum()


@lru_cache(maxsize=65536)
def _parts(word: str) -> tuple[str, ...]:
    """Split a word at the places where a line may break inside it."""
    parts = [""]
    for here, after in pairwise([*_clusters(word), ""]):
        parts[-1] += here
        if after and _may_break(parts[-1], here, after):
            parts.append("")
    return tuple(parts)


def _may_break(before: str, here: str, after: str) -> bool:
    if _is_wide(here) or _is_wide(after):
        return after[0] not in NO_START and here[0] not in "（「『【〈《〔［｛"
    return here == "-" and len(before) > 1 and before[-2].isalpha() and after[0].isalpha()


def _is_wide(cluster: str) -> bool:
    """Return whether it is an ideograph, kana or full-width mark; Hangul has spaces and is not broken."""
    code = ord(cluster[0])
    return 0x2E80 <= code <= 0x9FFF or 0xF900 <= code <= 0xFAFF or 0xFF01 <= code <= 0xFF60 or code >= 0x20000


def _clusters(text: str) -> list[str]:
    """Split a text into letters with their combining marks."""
    out: list[str] = []
    for letter in text:
        if out and unicodedata.category(letter).startswith("M"):
            out[-1] += letter
        else:
            out.append(letter)
    return out


def _direction(text: str) -> str:
    """Return the direction, "L" or "R", of the first letter that has one; empty if none has."""
    for letter in text:
        kind = unicodedata.bidirectional(letter)
        if kind in ("L", "R", "AL"):
            return "L" if kind == "L" else "R"
    return ""


def _with_direction(lines: list[str]) -> tuple[str, ...]:
    """Give each line the direction of the whole text, with an invisible mark where it would differ."""
    whole = _direction(lines[0]) if len(lines) > 1 else ""
    mark = LEFT_MARK if whole == "L" else RIGHT_MARK
    return tuple(mark + line if whole and _direction(line) not in ("", whole) else line for line in lines)
