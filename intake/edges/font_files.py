"""The font files, and which of them has a letter.

Latin, Greek and Cyrillic are Source Sans 3, ideographs, kana and Hangul the Japanese, Chinese and Korean cuts of
Kurinto Sans (package `weblate-fonts`); other scripts and emoji have a Noto font of their own (`manimgx-fonts`), and
what is left is Kurinto Sans. All are under the SIL Open Font License. Each is loaded when a letter first needs it.
"""

import re
from functools import cached_property, lru_cache
from importlib import resources
from pathlib import Path

import icu  # type: ignore[import-untyped]  # PyICU ships no types
import uharfbuzz as hb

KURINTO = "weblate_fonts/static/weblate_fonts/kurinto/ttf/KurintoSans"
SOURCE = "weblate_fonts/static/weblate_fonts/source-sans/ttf/SourceSans3"
LATIN = {False: f"{SOURCE}-Regular.ttf", True: f"{SOURCE}-Semibold.ttf"}
WORLD = {False: f"{KURINTO}-Rg.ttf", True: f"{KURINTO}-Bd.ttf"}
EAST = {
    country: {False: f"{KURINTO}{country}-Rg.ttf", True: f"{KURINTO}{country}-Bd.ttf"}
    for country in ("JP", "TC", "SC", "KR")
}
NOTO = {
    script: f"manimgx_fonts/NotoSans{name}[wght].ttf"
    for script, name in {
        "Armn": "Armenian", "Beng": "Bengali", "Deva": "Devanagari", "Ethi": "Ethiopic",
        "Geor": "Georgian", "Gujr": "Gujarati", "Guru": "Gurmukhi", "Khmr": "Khmer",
        "Knda": "Kannada", "Laoo": "Lao", "Mlym": "Malayalam", "Mymr": "Myanmar", "Orya": "Oriya", "Sinh": "Sinhala",
        "Taml": "Tamil", "Telu": "Telugu", "Thai": "Thai",
    }.items()
}  # fmt: skip
EMOJI = "manimgx_fonts/NotoEmoji[wght].ttf"
SYMBOLS = "manimgx_fonts/NotoSansSymbols[wght].ttf"
BOLD_WEIGHT = 600.0
"""Of a font whose weight is set: semibold, as the Latin one."""
KANA = re.compile("[\u3041-\u30ff\uff66-\uff9d]")
HANGUL = re.compile("[\u1100-\u11ff\u3130-\u318f\uac00-\ud7ff]")
EASTERN = frozenset(("Hani", "Hira", "Kana", "Hang", "Bopo", "Yiii"))
SHARED = frozenset(("Zyyy", "Zinh"))
"""Letters of several scripts, such as digits, and marks that take the script of their letter."""


class LoadedFont:
    """A font file in one weight, ready for shaping; lengths are in its own units, `per_em` of which are the type size.

    Attributes:
        name: under which it is embedded, without spaces.
        weight: as it is set; None where the file has one weight only.
    """

    def __init__(self, file: str, *, bold: bool) -> None:
        stem = file.rpartition("/")[2].partition(".")[0].partition("[")[0]
        self.weight = (BOLD_WEIGHT if bold else 400.0) if "[wght]" in file else None
        self.name = f"{stem}-Semibold" if self.weight is not None and bold else stem
        self.face = hb.Face(hb.Blob.from_file_path(str(path_of(file))))
        self.font = hb.Font(self.face)
        if self.weight is not None:
            self.font.set_variations({"wght": self.weight})
        self.per_em: int = self.face.upem

    @cached_property
    def letters(self) -> frozenset[int]:
        """Return the codes of all letters it has."""
        return frozenset(self.face.unicodes)

    def has(self, letters: str) -> bool:
        """Return whether it has all letters of a text."""
        return self.letters.issuperset(map(ord, letters))


def path_of(file: str) -> Path:
    """Return where a font file is."""
    package, _, rest = file.partition("/")
    return Path(str(resources.files(package).joinpath(*rest.split("/"))))


@lru_cache(maxsize=64)
def load(file: str, *, bold: bool) -> LoadedFont:
    """Return a font, loaded once."""
    return LoadedFont(file, bold=bold)


@lru_cache(maxsize=65536)
def script_of(letter: str) -> str:
    """Return the script of a letter by its code of ISO 15924; one for all that are written with ideographs."""
    name = str(icu.Script.getScript(ord(letter)).getShortName())
    return "Hani" if name in EASTERN else name


@lru_cache(maxsize=65536)
def font_with(letters: str, east: LoadedFont | None, *, bold: bool) -> LoadedFont | None:
    """Return the font for a letter with its marks; None where no font has all of them.

    Args:
        letters: what has to be drawn of it.
        east: the font of the line's ideographs, see `eastern_font`.
        bold: the weight.
    """
    script = next((name for name in map(script_of, letters) if name not in SHARED), "Zyyy")
    files = [LATIN[bold]]
    if script in NOTO:
        files.insert(0, NOTO[script])
    files += [EMOJI, WORLD[bold]] if ord(letters[0]) >= 0x1F000 else [WORLD[bold], EMOJI]
    files.append(SYMBOLS)
    if ord(letters[0]) >= 0x1100:
        files += [cuts[bold] for cuts in EAST.values()]
    if east is not None and (script == "Hani" or ord(letters[0]) >= 0x2E80) and east.has(letters):
        return east
    return next((font for file in files if (font := load(file, bold=bold)).has(letters)), None)


def eastern_font(text: str, *, bold: bool) -> LoadedFont | None:
    """Return one font for all ideographs of a line: by kana or Hangul, else the first that has all of them."""
    letters = "".join(letter for letter in text if ord(letter) >= 0x1100 and script_of(letter) == "Hani")
    if not letters:
        return None
    if HANGUL.search(letters):
        return load(EAST["KR"][bold], bold=bold)
    if KANA.search(letters):
        return load(EAST["JP"][bold], bold=bold)
    fonts = (load(cuts[bold], bold=bold) for cuts in EAST.values())
    return next((font for font in fonts if font.has(letters)), None)
