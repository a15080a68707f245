"""Words folded for comparing and searching, by rules of our own, so that every database finds the same.

A word is folded to lower case without accents, and beside that to what it is in Latin letters: "Łódź" is found by
"lodz", "Straße" by "strasse", "Gräser" by "graser" and by "graeser", "Война" by "война", "vojna", "voyna" and "voina".

Marks are dropped where they are accents (Latin, Greek, Cyrillic) or points that most texts leave out (Hebrew, Arabic,
Syriac). Everywhere else they are letters: the vowel signs of Devanagari, Thai, Khmer or Burmese distinguish words.

Transliteration is ICU's (CLDR), in its own scheme and in those of BGN/PCGN for Russian and of the UN for Greek. ICU is
loaded with the first word that needs it.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable
from functools import lru_cache

ACCENTS = re.compile(
    "[\u0300-\u036f\u0483-\u0489\u0591-\u05bd\u05bf\u05c1\u05c2\u05c4\u05c5\u05c7\u0610-\u061a\u064b-\u065f\u0670"
    "\u06d6-\u06dc\u06df-\u06e4\u06e7\u06e8\u06ea-\u06ed\u0711\u0730-\u074a\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff"
    "\ufe00-\ufe0f\ufe20-\ufe2f\U000e0100-\U000e01ef]"
)
"""Unicode's blocks of combining marks for Latin, Greek and Cyrillic, the points of Hebrew, Arabic and Syriac, and the
variation selectors."""

UNSPACED = re.compile(
    "[\u0e00-\u0eff\u0f00-\u0fff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u31f0-\u31ff\u3400-\u4dbf\u4e00-\u9fff"
    "\uf900-\ufaff\uff66-\uff9f\U00020000-\U0003ffff]"
)
"""Thai, Lao, Tibetan, Burmese, Khmer, kana and Han, which are written without spaces between words."""

DIGRAPHS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})
"""The other spelling of these letters, where a keyboard lacks them (German, the Nordic languages)."""

ASCII_WORD = re.compile("[a-z0-9]+")

_CYRILLIC = re.compile("[\u0400-\u052f]")
_GREEK = re.compile("[\u0370-\u03ff\u1f00-\u1fff]")
_TO_ASCII = "Latin-ASCII; Lower"


def fold(text: str) -> str:
    """Fold a text: lower case, no accents, one space between words, the letters of every script kept.

    >>> fold("Die Gräser: Ἀνύπαρκτα"), fold("हिन्दी")
    ('die graser ανυπαρκτα', 'हिन्दी')
    """
    if text.isascii():  # most titles: all the rest is about other letters
        return " ".join(ASCII_WORD.findall(text.lower()))
    return " ".join(filter(None, map(_bare, _words(text))))


def _words(text: str) -> list[str]:
    """Split a text into words in lower case with their marks; what joins or only formats letters is dropped."""
    lower = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())
    kept = (character for character in lower if unicodedata.category(character) != "Cf")
    return "".join(c if c.isalnum() or unicodedata.category(c)[0] == "M" else " " for c in kept).split()


def _bare(word: str) -> str:
    return unicodedata.normalize("NFC", ACCENTS.sub("", unicodedata.normalize("NFD", word)))


def word_forms(text: str) -> tuple[tuple[str, ...], ...]:
    """Return the forms of each word of a text, the folded one first.

    >>> word_forms("Łódź, Gräser")
    (('lodz',), ('graser', 'graeser'))
    """
    if text.isascii():
        return tuple((word,) for word in ASCII_WORD.findall(text.lower()))
    return tuple(forms for word in _words(text) if (forms := _forms(word)))


def as_typed(forms: tuple[str, ...]) -> tuple[str, ...]:
    """Return the forms that a typed word is first looked for in: a word of another script only in its own.

    In Latin letters two words may be one: "दिन" and "दीन" are both "dina".
    """
    return forms if forms[0].isascii() else forms[:1]


@lru_cache(maxsize=8192)
def _forms(word: str) -> tuple[str, ...]:
    forms: dict[str, None] = {}
    for spelling in (word, word.translate(DIGRAPHS)):
        bare = _bare(spelling)
        latin = () if bare.isascii() else (*transliterations(spelling), *transliterations(bare))
        if bare and not (latin and unicodedata.name(bare[0], "").startswith("LATIN")):  # nobody types "łodz"
            forms[bare] = None
        forms |= dict.fromkeys(latin)
    return tuple(forms)


def transliterations(word: str) -> tuple[str, ...]:
    """Return a word in Latin letters, as each scheme that fits its script has it; none where ICU has no scheme.

    >>> transliterations("война")
    ('vojna', 'voyna')
    """
    schemes = ["Any-Latin"]
    if _CYRILLIC.search(word):
        schemes.append("Russian-Latin/BGN")
    if _GREEK.search(word):
        schemes.append("Greek-Latin/UNGEGN")
    latin = (re.sub(r"['\"`]", "", _transform(scheme)(word)) for scheme in schemes)
    return tuple(dict.fromkeys(text for text in latin if text.isascii() and ASCII_WORD.search(text)))


@lru_cache(maxsize=8)
def _transform(scheme: str) -> Callable[[str], str]:
    import icu  # type: ignore[import-untyped]  # noqa: PLC0415 - PyICU ships no types; few words need it

    transform: Callable[[str], str] = icu.Transliterator.createInstance(f"{scheme}; {_TO_ASCII}").transliterate
    return transform


def pairs(word: str) -> tuple[str, ...]:
    """Return the pairs of neighbouring letters by which a word inside unspaced writing is found; none for other words.

    >>> pairs("植物図"), pairs("moss")
    (('植物', '物図'), ())
    """
    if len(word) < 2 or not UNSPACED.search(word):
        return ()
    return tuple(word[at : at + 2] for at in range(len(word) - 1))


def search_words(texts: Iterable[str]) -> str:
    """Return the words under which a record with these texts is found, each once: the folded column.

    >>> search_words(["Łódź", "Moss and Moos"])
    'lodz moss and moos'
    """
    found: dict[str, None] = {}
    for text in texts:
        if text.isascii():  # a word is its only form
            found |= dict.fromkeys(ASCII_WORD.findall(text.lower()))
            continue
        for forms in word_forms(text):
            for form in forms:
                found |= dict.fromkeys((*form.split(), *pairs(form)))
    return " ".join(found)
