"""Which decodings of a word look like writing: letters of one script and language, signs where signs stand.

No more than a filter: it rules out what nobody writes ('MÅller', 'Gr¸n'), and never decides between two words that
somebody may write. Letters of languages from memory; the Unicode names tell the scripts.
"""

import re
import unicodedata
from functools import lru_cache

ALPHABETS = {
    "de": "äöüß",
    "fr": "àâæçéèêëîïôœùûüÿ",
    "es": "áéíñóúü",
    "it": "àèéìíîòóùú",
    "nl": "áàäçéèêëíïóöúü",
    "pt": "áâãàçéêíóôõúü",
    "ca": "àçéèíïóòúü",
    "sv": "åäöéàü",
    "da": "æøåéèêóòôü",
    "fi": "äöåšž",
    "is": "áðéíóúýþæö",
    "pl": "ąćęłńóśźż",
    "cs": "áčďéěíňóřšťúůýž",
    "sk": "áäčďéíĺľňóôŕšťúýž",
    "hu": "áéíóöőúüű",
    "ro": "ăâîșțşţ",
    "hr": "čćđšž",
    "sq": "çë",
    "tr": "çğıöşüâîû",
    "et": "äõöüšž",
    "lv": "āčēģīķļņšūž",
    "lt": "ąčęėįšųūž",
    "eo": "ĉĝĥĵŝŭ",
    "mt": "ċġħżàèìòù",
    "cy": "âêîôûŵŷáéíóúäëïöüẅ",
}
"""Letters beyond a to z, by ISO 639 code."""

SIGNS = "‚„“”‘’‹›«»–—…•·§©®™°±²³¹¼½¾µ×÷£€¥¢¿¡†‡‰ªº№\u00a0\u00ad"
"""Signs that lists hold; any other is taken for a wrong decoding."""
INSIDE_WORDS = "’‘–—·…\u00ad\u00a0"
NOT_AFTER_LETTERS = "§¼½¾µ£€¥¢×÷±¿¡¹²³ªº"
EAST_ASIAN = frozenset({"CJK", "HIRAGANA", "KATAKANA", "KATAKANA-HIRAGANA", "HANGUL", "FULLWIDTH", "IDEOGRAPHIC"})


_ORDINAL = re.compile(r"\W*[A-Za-z]{1,2}[ªº](?![^\W\d_])")
"""Short words that end so: Nº, Nº12, Mª."""
_MIXED = re.compile(r"[A-Za-z][^\W\d_a-zA-Z]|[^\W\d_a-zA-Z][A-Za-z]")
"""Letters of ASCII and others side by side."""
FULL_WIDTH = ("\uff01", "\uff5e")
"""The first and last of the figures and signs of East Asian type that stand for those of ASCII."""
FULL_WIDTH_SIGNS = ("\uffe0", "\uffe6")
"""The first and last of the others: among them the signs of the yen and the won."""


@lru_cache(maxsize=4096)
def script(char: str) -> str:
    """Return the script of a letter, '' for what is not a letter or, as "ª" and "µ", is one of all scripts."""
    if not char or char in SIGNS or not unicodedata.category(char).startswith("L"):
        return ""
    name = unicodedata.name(char, "UNKNOWN").split()[0]
    return "EAST ASIAN" if name in EAST_ASIAN else name


def looks_written(word: str) -> bool:
    """Return whether somebody may have written this text, which holds no space.

    >>> looks_written("Müller"), looks_written("MÅller"), looks_written("Gr¸n"), looks_written("mčre")
    (True, False, False, True)
    """
    letters = [char for char in word if script(char)]
    if any(script(char) == "EAST ASIAN" for char in letters) and not _MIXED.search(word):
        letters = [char for char in letters if not char.isascii()]  # as in 高さ(cm)
    if len({script(char) for char in letters}) > 1:
        return False
    if letters and script(letters[0]) == "LATIN" and not languages_of(word):
        return False
    return all(_fits(word, nth) for nth, char in enumerate(word) if not char.isascii())


def languages_of(word: str) -> frozenset[str]:
    """Return the languages that have all the letters of a word, or its script where that is not Latin.

    None has the letters of two scripts in one word.
    """
    scripts = {script(char) for char in word if script(char)}
    if scripts != {"LATIN"}:
        return frozenset(scripts) if len(scripts) == 1 else frozenset()
    foreign = {small for char in word if script(char) and not (small := char.lower()[0]).isascii()}
    return frozenset(code for code, letters in ALPHABETS.items() if foreign <= set(letters))


def _fits(word: str, nth: int) -> bool:
    """Return whether the sign or letter at a place is one that may stand there."""
    char, before, after = word[nth], word[:nth][-1:], word[nth + 1 :][:1]
    if script(char):
        is_odd_capital = char.isupper() and (before.islower() or (before.isupper() and after.islower()))
        return not is_odd_capital and not "\uff61" <= char <= "\uff9f"
    if script(before) == "EAST ASIAN" or script(after) == "EAST ASIAN" or unicodedata.category(char) == "Mn":
        return unicodedata.category(char)[0] in "MPNZ" or char in "×±°"  # as in 縦26×横19
    if char not in SIGNS:
        return "\u3000" <= char <= "\u303f" or any(
            first <= char <= last for first, last in (FULL_WIDTH, FULL_WIDTH_SIGNS)
        )
    if before.isalpha() and char in NOT_AFTER_LETTERS and not _ORDINAL.match(word):
        return False
    return not (before.isalpha() and after.isalpha()) or char in INSIDE_WORDS
