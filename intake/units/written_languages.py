"""Languages as people write them: Deutsch, allemand, suomi, dt., de; as codes of ISO 639-2, in its bibliographic form.

Of a language that ISO 639-2 does not have, the code is that of ISO 639-3. Names are those of the Unicode CLDR (as Babel
has them) in the languages of `written_days`, and some languages' names for themselves. A name that two languages have
is none of them, unless one alone is in ISO 639-1. Codes of two letters are read for the same languages only, for of
others many are taken for a country ('se', 'ch', 'si'); three letters with a point are no code ('ang.' is English in a
French list, 'ang' Old English). The CLDR ties codes of three letters to those of two; where it ties several to one, the
table here decides, else none is certain.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache

from babel import Locale
from babel.core import get_global

from intake.units.written_days import LANGUAGES

BIBLIOGRAPHIC = {
    "sqi": "alb",
    "hye": "arm",
    "eus": "baq",
    "mya": "bur",
    "zho": "chi",
    "ces": "cze",
    "nld": "dut",
    "fra": "fre",
    "kat": "geo",
    "deu": "ger",
    "ell": "gre",
    "isl": "ice",
    "mri": "mao",
    "mkd": "mac",
    "msa": "may",
    "fas": "per",
    "ron": "rum",
    "slk": "slo",
    "bod": "tib",
    "cym": "wel",
}
"""The twenty codes of ISO 639-2/T that have another in 639-2/B."""
OF_SEVERAL = {"sr": "srp", "hr": "hrv", "et": "est", "lv": "lav", "ar": "ara", "yi": "yid", "sa": "san", "ku": "kur"}
"""Codes of ISO 639-2 where the CLDR ties several to one of two letters (from memory)."""
SHORT = {
    **dict.fromkeys(("dt", "dtsch"), "ger"),
    **dict.fromkeys(("frz", "franz"), "fre"),
    "engl": "eng",
    "griech": "gre",
    "ital": "ita",
    "lat": "lat",
    "niederl": "dut",
    "poln": "pol",
    "russ": "rus",
    "schwed": "swe",
    "span": "spa",
    "tschech": "cze",
}
"""Abbreviations that are usual in German catalogs (common practice, no source)."""
WITH_OWN_NAMES = (
    *("bg", "ca", "cy", "el", "et", "eu", "ga", "gl", "hr", "is", "ja", "ko", "lt", "lv", "ro", "ru", "sk", "sl"),
    *("sr", "tr", "uk", "zh"),
)
"""Languages whose names for themselves are known besides."""
BETWEEN = re.compile(r"\s*[;,/|+&]\s*")


@cache
def codes() -> frozenset[str]:
    """Return the codes of three letters that the CLDR knows, those of ISO 639-2 in both forms among them."""
    known = {*map(str, Locale("en").languages), *get_global("language_aliases"), *BIBLIOGRAPHIC.values()}
    return frozenset(code for code in known if len(code) == 3 and code.isalpha())


def language_read(text: str) -> str | None:
    """Return the codes of the languages that a text names, with '; ' between several; None where one is not certain.

    >>> language_read("Deutsch"), language_read("suomi / ruotsi"), language_read("dt."), language_read("Elvish")
    ('ger', 'fin; swe', 'ger', None)
    >>> language_read("eng; fre"), language_read("deu"), language_read("SE")
    ('eng; fre', 'deu', None)
    """
    read = [_language(part) for part in BETWEEN.split(text.strip())]
    return "; ".join(code for code in read if code is not None) if None not in read else None


def bibliographic(code: str) -> str:
    """Return a code of three letters in its bibliographic form; '' where it is none that the CLDR knows.

    >>> bibliographic("deu"), bibliographic("ger"), bibliographic("qqx")
    ('ger', 'ger', '')
    """
    return BIBLIOGRAPHIC.get(code, code) if code in codes() else ""


def _language(text: str) -> str | None:
    folded = _fold(text)
    if len(folded) == 3 and folded in codes() and not text.endswith("."):
        return folded
    if len(folded) == 2 and folded in (*LANGUAGES, "no"):
        return _code(folded)
    return SHORT.get(folded) or _names().get(folded)


@cache
def _names() -> Mapping[str, str]:
    """Return the code of each name that one language alone has."""
    found: dict[str, set[str]] = {}
    for code, name in _all_names():
        found.setdefault(_fold(name), set()).add(code)
    # One of two letters (ISO 639-1) goes before others: Czech names in some CLDR give Norwegian and Nyoro the same.
    likely = {name: {code for code in several if len(code) == 2} or several for name, several in found.items()}
    return {name: known for name, several in likely.items() if len(several) == 1 and (known := _code(*several))}


def _all_names() -> Iterator[tuple[str, str]]:
    """Yield codes as the CLDR has them, and names."""
    for language in LANGUAGES:
        yield from Locale(language).languages.items()
    for language in WITH_OWN_NAMES:
        yield language, Locale(language).languages[language]


@cache
def _of_two_letters() -> Mapping[str, str]:
    """Return the code of ISO 639-2/B of each of two letters for which it is certain."""
    tied: dict[str, list[str]] = {}
    for long, short in get_global("language_aliases").items():
        if len(long) == 3 and len(short) == 2:
            tied.setdefault(short, []).append(long)
    alone = {short: several[0] for short, several in tied.items() if len(several) == 1}
    both = {short: BIBLIOGRAPHIC[long] for short, several in tied.items() for long in several if long in BIBLIOGRAPHIC}
    return {**alone, **both, **OF_SEVERAL}


def _code(cldr: str) -> str:
    """Return the code of three letters of a code of the CLDR; '' where none is certain."""
    return cldr if len(cldr) == 3 else _of_two_letters().get(cldr, "")


def _fold(text: str) -> str:
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(char for char in decomposed if not unicodedata.combining(char))
    return " ".join(kept.split()).rstrip(".")
