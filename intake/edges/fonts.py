"""The font and width of each letter, and the order in which right-to-left text is drawn.

The fonts are those of the `weblate-fonts` package (SIL Open Font License): Source Sans 3 for Latin, Greek and Cyrillic,
Kurinto Sans for Hebrew, Arabic, Thai and many more, and its Japanese, Chinese and Korean cuts. Each is loaded when a
letter first needs it. Arabic letters are joined by arabic-reshaper, lines are ordered by python-bidi (Unicode Standard
Annex 9), one laid-out line at a time. Scripts that need reordering (Devanagari and related scripts) are drawn letter by
letter and listed in the result; there is no kerning.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from arabic_reshaper import ArabicReshaper
from bidi import get_display
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from intake.units.convert import pt_to_mm

LATIN = {False: "source-sans/ttf/SourceSans3-Regular.ttf", True: "source-sans/ttf/SourceSans3-Semibold.ttf"}
WORLD = {False: "kurinto/ttf/KurintoSans-Rg.ttf", True: "kurinto/ttf/KurintoSans-Bd.ttf"}
EAST = {
    country: {False: f"kurinto/ttf/KurintoSans{country}-Rg.ttf", True: f"kurinto/ttf/KurintoSans{country}-Bd.ttf"}
    for country in ("JP", "TC", "SC", "KR")
}
REPLACEMENT = "\ufffd"

INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufe00-\ufe0f\ufeff]")
"""Characters without a glyph: joiners, direction marks, soft hyphens, variation selectors."""
BLANK = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\u200f]")
ARABIC = re.compile("[\u0600-\u06ff\u0750-\u077f\u08a0-\u08ff]")
PAIRS = {"(": ")", "[": "]", "{": "}", "«": "»", "‹": "›", "<": ">", "⟨": "⟩", "⟦": "⟧"}
MIRROR = PAIRS | {close: opening for opening, close in PAIRS.items()}
EASTERN = re.compile(
    "[\u1100-\u11ff\u2e80-\ua4cf\uac00-\ud7ff\uf900-\ufaff\ufe30-\ufe4f\uff00-\uffef\U00020000-\U0003ffff]"
)
KANA = re.compile("[\u3041-\u30ff\uff66-\uff9d]")
HANGUL = re.compile("[\u1100-\u11ff\u3130-\u318f\uac00-\ud7ff]")
UNSHAPED = re.compile("[\u0900-\u0dff\u0f00-\u109f\u1780-\u17ff\u0710-\u074f]")
MARKS = re.compile("[\u0300-\u036f]+")
CLUSTER = re.compile("[^\u0300-\u036f][\u0300-\u036f]*|.")


@dataclass(frozen=True, slots=True)
class FontRun:
    """Letters of one font in drawing order, starting at `x` mm (at 1 pt) in the line."""

    font: str
    text: str
    x: float


@dataclass(frozen=True, slots=True)
class ShapedLine:
    """A line ready to be drawn; `unit` is its width in mm at 1 pt."""

    runs: tuple[FontRun, ...]
    unit: float
    missing: tuple[str, ...] = ()
    unshaped: tuple[str, ...] = ()


def measure(text: str, size_pt: float, bold: bool) -> float:  # noqa: FBT001 (the signature that documents expect)
    """Return the width in mm of a line as it is drawn."""
    return prepare(text, bold=bold).unit * size_pt


@lru_cache(maxsize=65536)
def prepare(text: str, *, bold: bool = False) -> ShapedLine:
    """Order the letters of a line and find a font for each.

    Args:
        text: one line in logical order.
        bold: whether to use the bold weight.

    Returns:
        The runs to draw. A letter that no font has is replaced by U+FFFD and listed in `missing`.
    """
    shown = drawing_order(text)
    east = _eastern_font(shown, bold=bold)
    drawn: list[tuple[str, str]] = []
    missing: list[str] = []
    for cluster in CLUSTER.findall(shown):
        for font, letters, lost in _font_runs(cluster, east, bold=bold):
            missing += lost
            if drawn and drawn[-1][0] == font and not MARKS.search(letters) and not MARKS.search(drawn[-1][1]):
                drawn[-1] = (font, drawn[-1][1] + letters)
            else:
                drawn.append((font, letters))
    runs, unit = _place_runs(drawn)
    return ShapedLine(runs, unit, tuple(dict.fromkeys(missing)), tuple(dict.fromkeys(UNSHAPED.findall(shown))))


def _place_runs(drawn: list[tuple[str, str]]) -> tuple[tuple[FontRun, ...], float]:
    """Place runs one after the other, and marks over the middle of their letter, as Source Sans requires."""
    runs: list[FontRun] = []
    x = 0.0
    for font, letters in drawn:
        base = MARKS.sub("", letters)
        width = pt_to_mm(pdfmetrics.stringWidth(base, font, 100.0)) / 100.0
        if base != letters and "SourceSans" in font:
            runs += [FontRun(font, base, x), FontRun(font, letters[len(base) :], x + width / 2)]
        else:
            runs.append(FontRun(font, letters, x))
        x += width
    return tuple(runs), x


def drawing_order(text: str) -> str:
    """Return the letters of a line from left to right, Arabic ones joined.

    Hebrew and Arabic points come before the letter they belong to, because the fonts draw them over the next one.

    >>> drawing_order("abc אבג")
    'abc גבא'
    """
    line = BLANK.sub(" ", unicodedata.normalize("NFC", text))
    if RIGHT_TO_LEFT.search(line):
        joined = _reshaper().reshape(line) if ARABIC.search(line) else line
        line = mirror_brackets(str(get_display(joined)))
    return INVISIBLE.sub("", line)


def mirror_brackets(line: str) -> str:
    """Mirror the brackets in right-to-left text (rule L4, which python-bidi does not apply).

    >>> mirror_brackets(")גבא( (abc)")
    '(גבא) (abc)'
    """
    letters = list(line)
    waiting: list[int] = []
    for place, letter in enumerate(letters):
        if letter not in MIRROR:
            continue
        if not waiting or letters[waiting[-1]] != MIRROR[letter]:
            waiting.append(place)
            continue
        first = waiting.pop()
        if letter in PAIRS:
            letters[first], letters[place] = letter, MIRROR[letter]
    return "".join(letters)


@lru_cache(maxsize=1)
def _reshaper() -> ArabicReshaper:
    return ArabicReshaper({"delete_harakat": False, "support_ligatures": True})


def _font_runs(cluster: str, east: str | None, *, bold: bool) -> list[tuple[str, str, list[str]]]:
    """Return (font, letters, missing letters) for a letter with its marks, or for each alone if no font has all."""
    font = _font_for(cluster, east, bold=bold)
    if font is not None:
        return [(font, cluster, [])]
    if len(cluster) > 1:
        return [drawn for letter in cluster for drawn in _font_runs(letter, east, bold=bold)]
    return [(_load(WORLD[bold]), REPLACEMENT, [cluster])]


@lru_cache(maxsize=65536)
def _font_for(cluster: str, east: str | None, *, bold: bool) -> str | None:
    if east is not None and EASTERN.match(cluster) and _has(east, cluster):
        return east
    files = [LATIN[bold], WORLD[bold]]
    if EASTERN.match(cluster):
        files += [EAST[country][bold] for country in EAST]
    return next((name for name in map(_load, files) if _has(name, cluster)), None)


def _eastern_font(text: str, *, bold: bool) -> str | None:
    """Return one font for all ideographs of a line: by kana or Hangul, else the first that has all of them."""
    letters = "".join(EASTERN.findall(text))
    if not letters:
        return None
    if HANGUL.search(letters):
        return _load(EAST["KR"][bold])
    if KANA.search(letters):
        return _load(EAST["JP"][bold])
    names = (_load(EAST[country][bold]) for country in EAST)
    return next((name for name in names if _has(name, letters)), None)


def _has(font: str, letters: str) -> bool:
    glyphs = pdfmetrics.getFont(font).face.charToGlyph
    return all(ord(letter) in glyphs for letter in letters)


@lru_cache(maxsize=16)
def _load(file: str) -> str:
    """Register a font file with reportlab, once, and return its name."""
    path = resources.files("weblate_fonts").joinpath("static", "weblate_fonts", *file.split("/"))
    name = "intake-" + file.rpartition("/")[2].removesuffix(".ttf")
    with resources.as_file(path) as real:
        pdfmetrics.registerFont(TTFont(name, str(real)))
    return name
