"""Collation by language, and titles without their leading article.

The order is that of the Unicode Collation Algorithm (Unicode Technical Standard 10) with the language's own rules from
CLDR, by ICU through PyICU; numbers inside a text sort as numbers, and a shorter word files before a longer one that
begins with it ("New York" before "Newark": word by word, as libraries file). The articles are from memory of the lists
in cataloguing rules; an article that is part of a name ("Los Angeles") is dropped too, because only a person could
distinguish it.
"""

import re
from collections.abc import Callable
from functools import lru_cache

import icu  # type: ignore[import-untyped]  # PyICU ships no types

from intake.errors import UsageError

Collate = Callable[[str], bytes]
"""Returns the sort key of a text."""

ARTICLES = {
    "ca": "el la els les en na l' un una",
    "da": "den det de en et",
    "de": "der die das dem den des ein eine einem einen einer eines",
    "el": "ο η το οι τα ένας μία μια ένα",
    "en": "a an the",
    "eo": "la",
    "es": "el la lo los las un una unos unas",
    "fr": "le la les l' un une",
    "ga": "an na",
    "hu": "a az egy",
    "is": "hinn hin hið hinir hinar",
    "it": "il lo la i gli le l' un uno una un'",
    "nb": "den det de en ei et",
    "nl": "de het een 't 'n",
    "nn": "den det dei ein ei eit",
    "no": "den det de dei en ei et ein eit",
    "pt": "o a os as um uma",
    "ro": "un o",
    "sv": "den det de en ett",
    "cy": "y yr",
    "yi": "דער די דאס א אן",
}
LONG_CODES = {
    "ar": "ara",
    "ca": "cat",
    "cy": "wel cym",
    "da": "dan",
    "de": "ger deu",
    "el": "gre ell",
    "en": "eng",
    "eo": "epo",
    "es": "spa",
    "fr": "fre fra",
    "ga": "gle",
    "hu": "hun",
    "is": "ice isl",
    "it": "ita",
    "nb": "nob",
    "nl": "dut nld",
    "nn": "nno",
    "no": "nor",
    "pt": "por",
    "ro": "rum ron",
    "sv": "swe",
    "yi": "yid",
}
"""The codes of ISO 639-1, and both forms of those of ISO 639-2."""
SHORT_CODES = {long: short for short, both in LONG_CODES.items() for long in both.split()}
JOINED = re.compile(r"^(?:al|el)-(?=\w)", re.IGNORECASE)
"""The Arabic article in Latin letters, which is joined to its word by a hyphen."""
OUTER = re.compile(r"^[^\w]+")


@lru_cache(maxsize=32)
def collator(language: str) -> Collate:
    """Return the collation of a language.

    Args:
        language: a BCP 47 tag ("sv", "de-u-co-phonebk" for the order of German telephone books).

    Raises:
        UsageError: the language is unknown.

    >>> sorted(["öl", "zebra", "Apfel"], key=collator("sv")), sorted(["öl", "zebra", "Apfel"], key=collator("de"))
    (['Apfel', 'zebra', 'öl'], ['Apfel', 'öl', 'zebra'])
    """
    unknown = UsageError(f"Language {language!r}", "is unknown", "use its code, such as en, de or sv")
    try:
        locale = icu.Locale.forLanguageTag(language)
    except icu.ICUError as error:
        raise unknown from error
    if locale.getLanguage() not in icu.Locale.getISOLanguages():
        raise unknown
    made = icu.Collator.createInstance(locale)
    made.setAttribute(icu.UCollAttribute.NUMERIC_COLLATION, icu.UCollAttributeValue.ON)
    key: Collate = made.getSortKey
    return key


def filing_title(title: str, language: str) -> str:
    """Return a title for filing: without outer punctuation and leading article.

    Args:
        title: as printed.
        language: ISO 639 code of the book's language, two or three letters; if unknown, no article is dropped.

    >>> filing_title("L’île perdue", "fre"), filing_title("The Gulls", "en"), filing_title("Die", "ger")
    ('île perdue', 'Gulls', 'Die')
    """
    plain = title.replace("’", "'").replace("ʼ", "'").strip()
    code = SHORT_CODES.get(language.casefold(), language.casefold()[:2])
    inner = OUTER.sub("", plain) or plain
    if code == "ar":
        return JOINED.sub("", inner)
    for article in ARTICLES.get(code, "").split():
        for start in (plain, inner):
            rest = start[len(article) :]
            joined = article.endswith("'")
            if start.casefold().startswith(article) and (joined or rest[:1].isspace()) and OUTER.sub("", rest):
                return OUTER.sub("", rest)
    return inner
