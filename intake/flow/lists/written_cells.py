"""One cell as a person or a spreadsheet wrote it, made into the form in which lists are read; or why it cannot be.

Figures that a spreadsheet has spoilt: 9.78E+12 has lost its digits and is refused; a number short of its leading zeros
is restored where its check digit proves it. ISBN-10 and ISSN: modulus 11 (ISO 2108, ISO 3297); UPC-A: GS1 General
Specifications 7.9.1.
"""

import re
from collections import Counter
from functools import lru_cache

from intake.edges.exchange.marc_text import REMEMBERED, extent_in, year_in
from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers.forms import EAN8, ISBN10, ISSN, UPC_A, WrittenForm
from intake.identifiers.parse import numbers_in, parse
from intake.identifiers.plain import plain, runs
from intake.identifiers.running_text import may_hold_number
from intake.model.identifiers import Identifier, NumberKind
from intake.units.roman_numbers import roman_value
from intake.units.written_numbers import with_cents

ROUNDED = re.compile(r"\d[.,]?\d*\s*E\s*\+?\d+", re.IGNORECASE)
LINE_BREAK = re.compile(r"\s*[\r\n\v\f\x85\u2028\u2029]+\s*")
FLOAT = re.compile(r"(\d+)[.,]0")
DIGITS = re.compile(r"\d+[\dXx]")
NUMBER = re.compile(r"[+\-−]?\d+(?:[.,]\d+|[ '’\u00a0\u2009\u202f]\d{3}(?!\d))*")
HAS_UNIT = re.compile(r"[^\W\d_¼½¾⅓⅔⅛⅜⅝⅞]|[\"″”'′’€£$¥]")
ORDINAL = re.compile(
    r"第?\s*(\d{1,4})(?:st|nd|rd|th|er|r?e|ère|ème|è|:[ae]|\.?(?:[ªº°]|ᵉʳ)|\.)?\s*"
    r"(?:printing|impression|druck|tirage|tiragem|impresión|ristampa|刷)?",
    re.IGNORECASE,
)
"""An ordinal as ICU writes it, and the words for a printing beside it (common practice, no source)."""
PAGES = re.compile(
    r"(\d+)\s*(?:p|pp|pag|pages?|s|seiten|sider|sidor|str|strony?|pagine|páginas|blz|stran|old|頁|ページ)?\.?",
    re.IGNORECASE,
)
YEAR = re.compile(r"[\[(]?\s*©?\s*(-?\d+)\s*[\])]?")


def without_breaks(text: str, mark: str = " ") -> str:
    r"""Return a text with a mark in place of its line breaks.

    >>> without_breaks("Moss \n and Moor"), without_breaks("Ima Ginary\nBo Lind", "; ")
    ('Moss and Moor', 'Ima Ginary; Bo Lind')
    """
    return text if text.isprintable() else LINE_BREAK.sub(mark, text)


def retail_number(text: str) -> str:
    """Return the number of a book, ready to be read.

    Raises:
        CellError: a spreadsheet has rounded it.
    """
    text = text.removeprefix("'").strip()
    if ROUNDED.fullmatch(text):
        raise CellError(RowReason.NUMBER_ROUNDED, text=text)
    if match := FLOAT.fullmatch(text):
        text = match[1]
    return restored_number(text) or text


def restored_number(text: str) -> str | None:
    """Return a number with the leading zeros that its check digit proves to be lost, None where it proves nothing.

    >>> restored_number("306406152"), restored_number("9780306406157"), restored_number("306406153")
    ('0306406152', None, None)
    """
    if not 6 < len(text) < 12 or not DIGITS.fullmatch(text):
        return None
    forms: tuple[WrittenForm, ...] = {7: (ISSN,), 8: (ISBN10,), 9: (ISBN10,), 11: (UPC_A,)}.get(len(text), ())
    whole = len(text) == 8 and any(form.read(text.upper()) is not None for form in (ISSN, EAN8))
    if whole:
        return None
    for form in forms:
        padded = text.upper().rjust(form.length, "0")
        if form.read(padded) is not None:
            return padded
    return None


LABELS = re.compile(r"\b(?:[ei]?-?isbn|ean|issn|ismn|gtin|upc|sbn)(?:-?1[03])?\b[:.]?", re.IGNORECASE)
UNTOLD = re.compile(
    r"[\[(]?\s*(?:o\.?\s?j\.?|ohne jahr|n\.?\s?d\.?|s\.?\s?[ad]\.?|undated|no date|unknown|undatiert|unbekannt"
    r"|sans date|inconnue?|\?|[-–—])\s*[\])]?",
    re.IGNORECASE,
)
"""No year, as catalogs write it in German, English, Latin and French; common practice."""
ROMAN = re.compile(r"(M{1,2})(CM|CD|D?C{0,4})(XC|XL|L?X{0,4})(IX|IV|V?I{0,4})\.?")
ERAS = {"明治": 1867, "大正": 1911, "昭和": 1925, "平成": 1988, "令和": 2018}
"""The year before the first of an era of Japan: Meiji 1868, Taisho 1912, Showa 1926, Heisei 1989, Reiwa 2019 (from
memory)."""
ERA_YEAR = re.compile(rf"({'|'.join(ERAS)})\s*(\d{{1,2}}|元)\s*年?")


def year_read(text: str) -> str | None:
    """Return the year that is meant by more than its figures: '' where the text says that there is none, None for none.

    Of several years it is the first, as in records of libraries (`marc_text.year_in`).

    >>> year_read("c. 1999"), year_read("o. J. [um 1920]"), year_read("MCMLXXIV"), year_read("昭和53年")
    ('1999', '1920', '1974', '1978')
    >>> year_read("n.d."), year_read("soon"), year_read("1999")
    ('', None, None)
    """
    if YEAR.fullmatch(text):
        return None
    if UNTOLD.fullmatch(text):
        return ""
    if match := ERA_YEAR.fullmatch(text):
        return str(ERAS[match[1]] + (1 if match[2] == "元" else int(match[2])))
    if ROMAN.fullmatch(text):
        return str(roman_value(text.rstrip(".")))
    return year_in(text)[0] or None


def is_year_otherwise(text: str) -> bool:
    """Return whether a text is one year, in other figures or counted otherwise.

    >>> is_year_otherwise("昭和58年"), is_year_otherwise("MCMLXXIV"), is_year_otherwise("um 1925")
    (True, True, False)
    """
    return ERA_YEAR.fullmatch(text) is not None or ROMAN.fullmatch(text) is not None


def ordinal_read(text: str) -> str | None:
    """Return the figures of an ordinal ("2nd", "1.ª", "3e"), None where the text is not of this form.

    >>> ordinal_read("2nd printing"), ordinal_read("1.ª"), ordinal_read("2 vols"), ordinal_read("2")
    ('2', '1', None, None)
    """
    match = ORDINAL.fullmatch(text)
    return match[1] if match and not text.isdecimal() else None


def pages_read(text: str) -> str | None:
    """Return the count of pages of several sequences, None where the text is not of this form.

    >>> pages_read("XVI, 408 S."), pages_read("408 S."), pages_read("many")
    ('424', None, None)
    """
    if PAGES.fullmatch(text):
        return None
    extent = extent_in(text)
    return extent.pages if extent.pages and not extent.rest else None


def beside_number(text: str) -> str:
    """Return what stands in the cell of a retail number beside it, its label and its add-on; '' for nothing.

    >>> beside_number("9780306406157 / 1234"), beside_number("ISBN 978-0-306-40615-7")
    ('1234', '')
    >>> beside_number("0306406152 (pbk)")
    'pbk'
    """
    body = plain(text)
    words = Counter(word for run in runs(body) for word in run.words)
    for number in numbers_in(body, ""):
        words -= Counter(number.part.words)
    letters = re.findall(r"[^\W\d_]{2,}", LABELS.sub(" ", text))
    return " ".join([*words.elements(), *letters])


def has_more_than_number(text: str) -> bool:
    """Return whether a cell holds a retail number, and beside it what is no part of it and is left out.

    >>> has_more_than_number("0306406152 (pbk)"), has_more_than_number("A001"), has_more_than_number("9.78E+12")
    (True, False, False)
    """
    if ROUNDED.fullmatch(text) or not (beside := beside_number(text)) or may_hold_number(beside):
        return False
    number = parse(text)
    return isinstance(number, Identifier) and number.kind is not NumberKind.OWN


@lru_cache(REMEMBERED)
def number_part(text: str) -> str:
    """Return the figures of a text such as "12,50 €" or "24,5 cm"; the text itself where it has several or none.

    >>> number_part("12,50 €"), number_part("CHF 1’250.00"), number_part("18,– €")
    ('12,50', '1’250.00', '18,00')
    """
    text = with_cents(text)
    found = NUMBER.findall(text)
    return found[0] if len(found) == 1 else text


@lru_cache(REMEMBERED)
def unit_part(text: str) -> str:
    """Return what stands beside the figures: a unit or a currency.

    >>> unit_part("12,50 €"), unit_part("24,5")
    ('€', '')
    """
    rest = NUMBER.sub(" ", with_cents(text)).strip()
    return rest if HAS_UNIT.search(rest) else ""
