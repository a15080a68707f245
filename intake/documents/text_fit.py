"""Fitting a text into a rectangle: the largest type that fits, wrapped; at the smallest size cut with an ellipsis.

Where a line may break is said in `line_breaks`. That small type is better than lost words is common practice, no
source; the direction of a line is rule P2 of Unicode Standard Annex 9.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from intake.documents.line_breaks import JOINTS, SOFT_HYPHEN, is_unit, letters_of, parts_of, words_of
from intake.model.pages import Text
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
MOST_KEPT = 30_000
"""Texts whose widths are remembered."""
ROUNDING = 1e-9
ENDLESS_MM = 1e6
"""A height that no text reaches, for one that is set in as many lines as it needs."""

RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefe\U00010800-\U00010fff\U0001e800-\U0001efff]")
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


@dataclass(frozen=True, slots=True)
class CutText:
    """The pieces of a text, how wide they are, and all of them on one line."""

    pieces: list[Piece]
    sizes: TextSizes
    whole: str


def line_mm(size_pt: float) -> float:
    """Return the height of one line of a type size."""
    return pt_to_mm(size_pt) * LEADING_EM


class Setter:
    """Fits texts with one measuring function, and caches the widths of words."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._units: dict[tuple[str, bool], float] = {}
        self._pieces: dict[tuple[str, bool, bool], Piece] = {}
        self._found: dict[tuple[str, bool], CutText] = {}

    def unit(self, text: str, *, bold: bool) -> float:
        """Return the width of a text in mm at 1 pt."""
        key = (text, bold)
        if len(self._units) > MOST_KEPT:
            self._units.clear()
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
        pieces = self._cut_up(text, bold=bold).pieces
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

    def paragraph(
        self, text: str, x_mm: float, y_mm: float, width_mm: float, size_pt: float, *, bold: bool = False
    ) -> tuple[list[Text], float]:
        """Set a whole text at one size, its first line below `y_mm`; with the base of its last line."""
        marks: list[Text] = []
        for line in self.fit(text, width_mm, ENDLESS_MM, (size_pt, size_pt), bold=bold).lines:
            y_mm += line_mm(size_pt)
            marks.append(Text(x_mm, y_mm, line, size_pt, bold=bold))
        return marks, y_mm

    def lines(self, text: str, width_mm: float, size_pt: float, *, bold: bool = False) -> list[str]:
        """Return all lines of a text at one size; a line break in it begins a new one."""
        room, space = width_mm / size_pt, self.unit(" ", bold=bold)
        lines: list[str] = []
        for paragraph in text.split("\n"):
            found = self._cut_up(paragraph, bold=bold)
            pieces = found.pieces
            if pieces and found.sizes.line <= room:
                lines.append(found.whole)
            elif pieces:
                lines += _with_direction(_wrap(self._broken(pieces, room, bold=bold), space, room))
        return lines

    def sizes(self, text: str, *, bold: bool) -> TextSizes:
        """Return how wide the parts of a text are that are kept on one line, and the whole of it."""
        return self._cut_up(text, bold=bold).sizes

    def _cut_up(self, text: str, *, bold: bool) -> CutText:
        key = (text, bold)
        if len(self._found) > MOST_KEPT:
            self._found.clear()
        if key not in self._found:
            pieces = [
                self._piece(part, bold=bold, spaced=place == 0)
                for word in words_of(text)
                for place, part in enumerate(parts_of(word))
            ]
            found = _added_up(pieces, self.unit(" ", bold=bold))
            self._found[key] = replace(found, whole=text) if found.whole == text else found
        return self._found[key]

    def _piece(self, text: str, *, bold: bool, spaced: bool) -> Piece:
        """Return a piece, the same object wherever it is the same: texts are remembered, and their words come again."""
        key = (text, bold, spaced)
        if len(self._pieces) > MOST_KEPT:
            self._pieces.clear()
        if key not in self._pieces:
            self._pieces[key] = Piece(text, self.measure(text, 100.0, bold) / 100.0, spaced)
        return self._pieces[key]

    def _broken(self, pieces: list[Piece], room: float, *, bold: bool) -> list[Piece]:
        """Break pieces that are longer than a line between their letters."""
        if all(piece.unit <= room for piece in pieces):
            return pieces
        out: list[Piece] = []
        for piece in pieces:
            if piece.unit <= room + ROUNDING:
                out.append(piece)
                continue
            words = piece.text.split(" ")
            if len(words) > 1 and (not JOINTS.isdisjoint(words) or is_unit(words[-1])):
                parts = [Piece(x, self.unit(x, bold=bold), piece.spaced or n > 0) for n, x in enumerate(words)]
                out += self._broken(parts, room, bold=bold)
                continue
            letters = letters_of(piece.text)
            units = [self.unit(letter, bold=bold) for letter in letters]
            out += [Piece(x, u, piece.spaced and n == 0) for n, (x, u) in enumerate(zip(letters, units, strict=True))]
        return out

    def _cut(self, text: str, room: float, *, bold: bool) -> str:
        """Return as much of a line as fits together with an ellipsis."""
        letters = letters_of(text)
        low, high = 0, len(letters)
        while low < high:
            middle = (low + high + 1) // 2
            if self.measure("".join(letters[:middle]).rstrip() + ELLIPSIS, 100.0, bold) / 100.0 <= room:
                low = middle
            else:
                high = middle - 1
        return "".join(letters[:low]).rstrip() + ELLIPSIS


def _added_up(pieces: list[Piece], space: float) -> CutText:
    number = word = line = 0.0
    whole = ""
    for piece in pieces:
        if piece.is_number:
            number = max(number, piece.unit)
        else:
            word = max(word, piece.unit)
        gap = piece.spaced and bool(whole)
        line += piece.unit + (space if gap else 0.0)
        whole += f" {piece.text}" if gap else piece.text
    return CutText(pieces, TextSizes(number, word, line), whole)


@lru_cache(maxsize=4)
def setter_for(measure: Measure) -> Setter:
    """Return a setter that many documents share, as the same words come again in them."""
    return Setter(measure)


def _fits(pieces: list[Piece], space: float, width_mm: float, height_mm: float, size_pt: float) -> bool:
    room = width_mm / size_pt
    if max(piece.unit for piece in pieces) > room + ROUNDING:
        return False
    return len(_wrap(pieces, space, room)) * line_mm(size_pt) <= height_mm + 1e-9


def _wrap(pieces: list[Piece], space: float, room: float) -> list[str]:
    lines: list[str] = []
    line, used = "", 0.0
    for piece in pieces:
        gap = space if piece.spaced and line else 0.0
        if line and used + gap + piece.unit > room + ROUNDING:
            lines.append(line)
            line, used = piece.text, piece.unit
        else:
            line += (" " if gap else "") + piece.text
            used += gap + piece.unit
    return [*lines, line]


def from_left(figures: str, *, beside: str) -> str:
    r"""Return figures so marked that they stay in their order beside words that are written from right to left.

    >>> from_left("240 pages", beside="Gulls"), from_left("240 pages", beside="ציפורי")
    ('240 pages', '\u200e240 pages')
    """
    return LEFT_MARK + figures if figures and RIGHT_TO_LEFT.search(beside) else figures


def _direction(text: str) -> str:
    """Return the direction, "L" or "R", of the first letter that has one; empty if none has."""
    for letter in text:
        kind = unicodedata.bidirectional(letter)
        if kind in ("L", "R", "AL"):
            return "L" if kind == "L" else "R"
    return ""


def _with_direction(lines: list[str]) -> tuple[str, ...]:
    """Give each line the direction of the whole text, with an invisible mark where it would differ.

    A line that ends where a word is broken has a hyphen there.
    """
    lines = [f"{line[:-1]}-" if line.endswith(SOFT_HYPHEN) else line for line in lines]
    if len(lines) < 2 or not any(map(RIGHT_TO_LEFT.search, lines)):
        return tuple(lines)
    whole = _direction(lines[0])
    mark = LEFT_MARK if whole == "L" else RIGHT_MARK
    return tuple(mark + line if whole and _direction(line) not in ("", whole) else line for line in lines)
