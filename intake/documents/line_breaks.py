"""Where a line of text may break.

Between words, after a hyphen between letters, and, by ICU (Unicode Standard Annex 14 with its dictionaries), between
ideographs and kana and between the words of scripts that are written without spaces: Thai, Lao, Khmer, Burmese;
Japanese between phrases. An amount of money and the code of its currency ("EUR 1,250.50") stay on one line, as does a
figure with its unit, and words with a no-break space (U+00A0) between them. Words are not hyphenated.
"""

import re
import unicodedata
from functools import lru_cache
from itertools import pairwise

import icu  # type: ignore[import-untyped]  # PyICU ships no types

from intake.model.currencies import currency_codes

SPACES = re.compile(r"[^\S\u00a0\u202f]+")
JOINTS = frozenset("=×")
VOLUME_WORDS = frozenset(("vol.", "vols.", "volume", "volumes", "bd.", "bde.", "band", "bände"))
UNITS = frozenset(("kg", "g", "lb", "oz", "mm", "cm", "m", "m²", "m³", "%", "SDR"))
NUMBER = re.compile(r"[(±−-]*\d[\d.,]*")
ROMAN = re.compile(r"[IVXLC]+[,;.:)]*")
UNSPACED = re.compile(
    "[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u19e0-\u19ff\u2e80-\u9fff\ua9e0-\ua9ff\uaa60-\uaa7f\uf900-\ufaff"
    "\uff01-\uff60\U00020000-\U0003ffff]"
)
"""Scripts without spaces between words; Hangul has spaces and is not broken."""
KANA = re.compile("[\u3041-\u30ff]")
REPEATED = frozenset("ៗๆໆ")
"""Signs that repeat the word before them, from which ICU parts them."""
SOFT_HYPHEN = "\u00ad"
"""Where a long word may be broken with a hyphen; it is not seen elsewhere."""
SHOWN = {code: f"[U+{code:04X}]" for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))}
"""Characters that turn the text around them, and so could show one title as another (Unicode Technical Report 36, 2.5):
embeddings, overrides and isolates are made visible. Lists that are exported keep them as they are."""


def words_of(text: str) -> list[str]:
    """Split a text at its spaces, but not at a no-break space, nor within what is read as one.

    That is an amount of money, a rate ("EUR 1 = GBP 0.85"), a size ("450 × 350"), a mass or another figure with its
    unit ("1.968 kg"), and a volume ("vol. 1").
    """
    if not text.isascii():
        text = unicodedata.normalize("NFC", text).translate(SHOWN)
    words: list[str] = []
    for word in SPACES.split(text):
        if words and word and _belongs(words[-1].rpartition(" ")[2], word):
            words[-1] += f" {word}"
        elif word:
            words.append(word)
    return words


def _belongs(before: str, word: str) -> bool:
    """Return whether a word is read as one with the word before it."""
    if word in JOINTS:
        return before[-1:].isdigit()
    if before in JOINTS:
        return True
    if is_unit(word):
        return NUMBER.fullmatch(before) is not None
    if before.lower() in VOLUME_WORDS:
        return word[:1].isdigit() or ROMAN.fullmatch(word) is not None
    return word[:1].isdigit() and _is_currency(before)


def is_unit(word: str) -> bool:
    """Return whether a word is a unit of measure, or one with a mark after it."""
    return word.rstrip(",;.:)") in UNITS


def _is_currency(word: str) -> bool:
    """Return whether a word ends in a code of ISO 4217 that stands by itself: "EUR", "(EUR"."""
    return word[-3:] in currency_codes() and not word[:-3].isalnum()


@lru_cache(maxsize=65536)
def parts_of(word: str) -> tuple[str, ...]:
    """Split a word at the places where a line may break inside it.

    >>> parts_of("Land-Atlas"), parts_of("A127-43"), parts_of("日本の鳥類")
    (('Land-', 'Atlas'), ('A127-43',), ('日本の', '鳥類'))
    """
    if UNSPACED.search(word):
        return _by_icu(word)
    if SOFT_HYPHEN in word:
        return tuple(re.findall(f"[^{SOFT_HYPHEN}]+{SOFT_HYPHEN}?", word))
    if "-" not in word:
        return (word,)
    parts = [""]
    for here, after in pairwise([*word, ""]):
        parts[-1] += here
        if here == "-" and len(parts[-1]) > 1 and parts[-1][-2].isalpha() and after.isalpha():
            parts.append("")
    return tuple(parts)


def _by_icu(word: str) -> tuple[str, ...]:
    # An iterator holds its text, so that threads could not share one.
    locale = icu.Locale.forLanguageTag("ja-u-lb-strict-lw-phrase" if KANA.search(word) else "und-u-lb-strict")
    phrases = icu.BreakIterator.createLineInstance(locale)
    parts: list[str] = []
    for part in _split(phrases, word):
        if parts and part[0] in REPEATED:
            parts[-1] += part
        else:
            parts.append(part)
    return tuple(parts)


@lru_cache(maxsize=65536)
def letters_of(text: str) -> tuple[str, ...]:
    """Split a text into letters as a reader sees them, each with its marks (Unicode Standard Annex 29)."""
    if text.isascii():
        return tuple(text)
    return tuple(_split(icu.BreakIterator.createCharacterInstance(icu.Locale.getRoot()), text))


def _split(iterator: "icu.BreakIterator", text: str) -> list[str]:
    """Split a text at the places of an iterator, which counts in units of UTF-16."""
    iterator.setText(icu.UnicodeString(text))
    units = text.encode("utf-16-le", "surrogatepass")
    ends = [0, *iterator]
    return [units[2 * start : 2 * end].decode("utf-16-le", "surrogatepass") for start, end in pairwise(ends)]
