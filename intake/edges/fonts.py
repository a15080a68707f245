"""Lines of text as glyphs, in the order in which they stand on paper, and their widths.

A line is ordered by the Unicode Bidirectional Algorithm (Unicode Standard Annex 9, by ICU) and cut where font or
script change; each word is shaped by HarfBuzz, which joins, reorders, stacks and kerns as script and font ask. One
laid-out line at a time.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import icu  # type: ignore[import-untyped]  # PyICU ships no types
import uharfbuzz as hb

from intake.edges.font_files import LATIN, SHARED, WORLD, LoadedFont, eastern_font, font_with, load, script_of
from intake.model.pages import Page, Text
from intake.units.convert import pt_to_mm

REPLACEMENT = "\ufffd"
UNDRAWN = re.compile(
    "[\u00ad\u034f\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufe00-\ufe0f\ufeff\U000e0000-\U000e0fff]"
)
"""Characters without a glyph: joiners, direction marks, soft hyphens, variation selectors."""
CONTROLS = re.compile("[\u00ad\u061c\u180e\u200b\u200e\u200f\u202a-\u202e\u2060-\u206f\ufeff]")
"""Those of them that do not change the shape of a letter beside them."""
BLANK = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
RIGHT_TO_LEFT = re.compile(
    "[\u0590-\u08ff\u200f\u202b\u202e\u2067\ufb1d-\ufdff\ufe70-\ufefe\U00010800-\U00010fff\U0001e800-\U0001efff]"
)
HALF = re.compile("[\ud800-\udfff]")
"""Half a character, which no font can have."""
SPACES = re.compile("( +)")
UNKNOWN = "Zyyy"


class Glyph(NamedTuple):
    """A glyph of a font.

    Attributes:
        number: in the font.
        text: the letters it stands for; empty where another glyph stands for them.
        advance, dx, dy: to the origin of the next glyph, and from where it would stand to where it stands, in
            thousandths of the type size.
    """

    number: int
    text: str
    advance: float
    dx: float = 0.0
    dy: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class ShapedPart:
    """A word or a part of one that has one font, one script and one direction, as glyphs from left to right.

    Attributes:
        backwards: whether it is read from right to left.
        unit: its width in mm at 1 pt.
        is_told: whether its letters are those of its glyphs, one after the other.
    """

    text: str
    font: LoadedFont
    backwards: bool
    glyphs: tuple[Glyph, ...]
    unit: float
    is_told: bool


@dataclass(frozen=True, slots=True)
class ShapedLine:
    """A line ready to be drawn, its parts from left to right; `unit` is its width in mm at 1 pt.

    Attributes:
        missing: the letters that no font has, which are replaced.
        font: where it is of one font and is told by its glyphs; None elsewhere.
    """

    parts: tuple[ShapedPart, ...]
    unit: float
    missing: tuple[str, ...] = ()
    font: LoadedFont | None = None


def measure(text: str, size_pt: float, bold: bool) -> float:  # noqa: FBT001 (the signature that documents expect)
    """Return the width in mm of a line as it is drawn."""
    return prepare(text, bold=bold).unit * size_pt


def missing_in(pages: Iterable[Page]) -> tuple[str, ...]:
    """Return the letters on pages that no font has, in the order in which they stand there."""
    texts = (mark for page in pages for mark in page.marks if isinstance(mark, Text) and not mark.text.isascii())
    return tuple(dict.fromkeys(letter for mark in texts for letter in prepare(mark.text, bold=mark.bold).missing))


@lru_cache(maxsize=16384)
def prepare(text: str, *, bold: bool = False) -> ShapedLine:
    """Turn a line into glyphs.

    Args:
        text: one line in logical order.
        bold: whether to use the bold weight.

    Returns:
        The parts to draw. A letter that no font has is replaced by U+FFFD and listed in `missing`.
    """
    if text.isascii() and text.isprintable():
        font = load(LATIN[bold], bold=bold)
        parts = [shape(word, font) for word in SPACES.split(text) if word]
        plain = all(part.is_told for part in parts)
        return ShapedLine(tuple(parts), sum([part.unit for part in parts]), font=font if plain else None)
    line = HALF.sub(REPLACEMENT, BLANK.sub(" ", unicodedata.normalize("NFC", text)))
    missing: list[str] = HALF.findall(text)
    east = eastern_font(line, bold=bold)
    parts = []
    for words, backwards in directions(line):
        cut = _parts(CONTROLS.sub("", words), east, missing, bold=bold)
        part = [shape(letters, font, backwards=backwards) for letters, font in cut]
        parts += reversed(part) if backwards else part
    fonts = {part.font for part in parts}
    plain = len(fonts) == 1 and all(part.is_told and not part.backwards for part in parts)
    unit = sum(part.unit for part in parts)
    return ShapedLine(tuple(parts), unit, tuple(dict.fromkeys(missing)), fonts.pop() if plain else None)


def directions(line: str) -> Iterator[tuple[str, bool]]:
    """Yield the parts of a line from left to right, each with whether it is read from right to left.

    >>> list(directions("Ur אב 7"))
    [('Ur ', False), ('7', False), ('אב ', True)]
    """
    if not RIGHT_TO_LEFT.search(line):
        yield line, False
        return
    whole, bidi = icu.UnicodeString(line), icu.Bidi()
    bidi.setPara(whole, icu.Bidi.DEFAULT_LTR)
    units = line.encode("utf-16-le")
    for n in range(bidi.countRuns()):
        start, length, backwards = bidi.getVisualRun(n)
        yield units[2 * start : 2 * (start + length)].decode("utf-16-le"), bool(backwards)


def _parts(text: str, east: LoadedFont | None, missing: list[str], *, bold: bool) -> Iterator[tuple[str, LoadedFont]]:
    """Cut a text at its spaces and where font or script changes; what several scripts share stays with its word."""
    latin = load(LATIN[bold], bold=bold)
    for word in SPACES.split(text):
        if word.isascii():
            yield from ((word, latin),) if word else ()
            continue
        letters, font, script = "", latin, UNKNOWN
        for drawn, found in _drawn(word, east, missing, bold=bold):
            own = next((name for name in map(script_of, drawn) if name not in SHARED), UNKNOWN)
            if letters and (found is not font or (own != script and UNKNOWN not in (own, script))):
                yield letters, font
                letters, script = "", UNKNOWN
            letters, font = letters + drawn, found
            script = script if own == UNKNOWN else own
        if letters:
            yield letters, font


def _drawn(word: str, east: LoadedFont | None, missing: list[str], *, bold: bool) -> Iterator[tuple[str, LoadedFont]]:
    """Yield each letter with its marks and its font, or a replacement."""
    for cluster in _clusters(word):
        seen = UNDRAWN.sub("", cluster)
        font = font_with(seen, east, bold=bold) if seen else None
        if font is not None:
            yield cluster, font
        elif len(seen) > 1:
            for letter in seen:
                yield from _drawn_alone(letter, east, missing, bold=bold)
        elif seen:
            yield from _drawn_alone(seen, east, missing, bold=bold)


def _drawn_alone(
    letter: str, east: LoadedFont | None, missing: list[str], *, bold: bool
) -> Iterator[tuple[str, LoadedFont]]:
    font = font_with(letter, east, bold=bold)
    if font is None:
        missing.append(letter)
    yield (REPLACEMENT, load(WORLD[bold], bold=bold)) if font is None else (letter, font)


def _clusters(text: str) -> Iterator[str]:
    """Yield the letters of a text, each with the marks, joiners and variants after it."""
    start = 0
    for place, letter in enumerate(text):
        follows = unicodedata.category(letter)[0] == "M" or UNDRAWN.match(letter) is not None
        if place and not follows and text[place - 1] != "\u200d":
            yield text[start:place]
            start = place
    if text:
        yield text[start:]


@lru_cache(maxsize=65536)
def shape(text: str, font: LoadedFont, *, backwards: bool = False) -> ShapedPart:
    """Return the glyphs of a text of one font, one script and one direction."""
    buffer = hb.Buffer()
    buffer.add_str(text)
    levels = hb.BufferClusterLevel
    buffer.cluster_level = levels.MONOTONE_CHARACTERS if backwards else levels.MONOTONE_GRAPHEMES
    buffer.flags = hb.BufferFlags.REMOVE_DEFAULT_IGNORABLES
    buffer.direction = "rtl" if backwards else "ltr"
    buffer.guess_segment_properties()
    hb.shape(font.font, buffer)
    glyphs = list(zip(buffer.glyph_infos, buffer.glyph_positions, strict=True))
    clusters = [info.cluster for info, _ in glyphs]
    per_em = 1000.0 / font.per_em
    set_ = tuple(
        _glyph(info.codepoint, letters, place.x_advance * per_em, place.x_offset * per_em, place.y_offset * per_em)
        for (info, place), letters in zip(glyphs, _letters(text, clusters, backwards=backwards), strict=True)
    )
    unit = pt_to_mm(sum(glyph.advance for glyph in set_) / 1000.0)
    is_told = backwards or (len(set(clusters)) == len(clusters) and 0 in clusters)
    return ShapedPart(text, font, backwards, set_, unit, is_told)


@lru_cache(maxsize=65536)
def _glyph(number: int, text: str, advance: float, dx: float, dy: float) -> Glyph:
    """Return a glyph, the same object wherever it is the same: thousands of words are of a few hundred glyphs."""
    return Glyph(number, text, advance, dx, dy)


def _letters(text: str, clusters: list[int], *, backwards: bool) -> list[str]:
    """Return the letters that each glyph stands for, given where they begin; none for a further glyph of the same.

    What reads a file turns the letters of text from right to left round, those of one glyph among them, and mirrors
    brackets: they are told as they are seen.
    """
    starts = sorted({*clusters, len(text)})
    ends = dict(pairwise(starts))
    found = [""] * len(clusters)
    done: set[int] = set()
    order = range(len(clusters))
    for n in reversed(order) if backwards else order:
        cluster = clusters[n]
        if cluster not in done:
            letters = text[cluster : ends[cluster]]
            found[n] = "".join(map(icu.Char.charMirror, reversed(letters))) if backwards else letters
            done.add(cluster)
    return found
