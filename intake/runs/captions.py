"""What people write before the number of a part, and between two numbers, in the languages that the tool meets.

From memory, not from a published list: a word that is not here is refused with its place, never guessed.
"""

import re
from collections.abc import Mapping

NUMBER, VOLUME, SERIES, YEAR = "no", "v", "ser", ""
LEVELS = (VOLUME, SERIES, YEAR)
"""What has numbers of its own inside: the plain numbers begin again in each."""

_WORDS: Mapping[str, str] = {
    NUMBER: "# no nos nr nrn n° nº no° № num number numbers numero numeros número números numéro numéros nummer "
    "nummern issue issues iss part parts pt heft hefte hft folge folgen ausgabe ausgaben n. h. nn.",
    VOLUME: "v vol vols volume volumes bd bde band bände jg jahrg jahrgang tome tomes tomo volumen t. deel",
    SERIES: "ser series série",
    "annual": "annual annuals annuel annuels",
    "special": "special specials spec sonderheft sonderhefte sondernummer spécial spéciaux especial",
    "supplement": "supplement supplements suppl supplément beilage beilagen",
    "yearbook": "yearbook yearbooks jahrbuch jahrbücher",
    "extra": "extra extras",
}
CAPTIONS: Mapping[str, str] = {word: caption for caption, words in _WORDS.items() for word in words.split()}
"""The caption that each word stands for. A single letter other than v needs its full stop."""

TO = frozenset({"to", "bis", "through", "thru", "à", "au", "al", "tot", "t/m", "até", "do", "till"})
AND = frozenset({"and", "&", "und", "et", "y", "e", "en", "og", "och", "i"})

VULGAR: Mapping[str, str] = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
GLYPHS = {fraction: glyph for glyph, fraction in VULGAR.items()}

_DASHES = dict.fromkeys(map(ord, "‐‑‒–—―−－~～"), "-")
_MARKS = {
    ord(mark): plain
    for mark, plain in zip("，、،；：．＃（）“”„«»\u00a0\u2009\u202f\u3000", ',,,;:.#()"""""    ', strict=True)
}
_ROMAN = re.compile(r"[IVXLCDM]+(?:-[IVXLCDM]+)?")
_FIGURES = re.compile(r"[^\W\D0-9]|[０-９]")


def plain_marks(text: str) -> str:
    """Return a text with plain dashes, marks, quotes and figures, each in the place where the other was.

    >>> plain_marks("№ ５–9；«Tide»")
    '№ 5-9;"Tide"'
    """
    return _FIGURES.sub(lambda match: str(int(match[0])), text.translate(_DASHES | _MARKS))


def is_roman(word: str) -> bool:
    """Tell whether a word is a number, or a range, in capital Roman numerals.

    >>> is_roman("I-IV"), is_roman("Tide"), is_roman("v")
    (True, False, False)
    """
    return _ROMAN.fullmatch(word) is not None


def caption_of(word: str) -> str | None:
    """Return the caption that a word stands for, with or without its full stop; None for any other word.

    >>> caption_of("Nr."), caption_of("Vols"), caption_of("Tide")
    ('no', 'v', None)
    """
    word = word.casefold()
    if word in CAPTIONS:
        return CAPTIONS[word]
    return CAPTIONS.get(word.removesuffix(".")) if len(word) > 2 or word == "v." else None
