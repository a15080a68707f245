"""One cell as a person or a spreadsheet wrote it, made into the form in which lists are read; or why it cannot be.

Figures that a spreadsheet has spoilt: 9.78E+12 has lost its digits and is refused; a number short of its leading zeros
is restored where its check digit proves it. ISBN-10 and ISSN: modulus 11 (ISO 2108, ISO 3297); UPC-A: GS1 General
Specifications 7.9.1.
"""

import re

from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers.forms import EAN8, ISBN10, ISSN, UPC_A, WrittenForm

ROUNDED = re.compile(r"\d[.,]?\d*\s*E\s*\+?\d+", re.IGNORECASE)
UNFORMULA = re.compile(r'="(?P<text>[^"]*)"')
"""A text that was written as a formula, so that a spreadsheet leaves its zeros alone."""
FLOAT = re.compile(r"(\d+)[.,]0")
DIGITS = re.compile(r"\d+[\dXx]")
NUMBER = re.compile(r"[+\-−]?\d+(?:[.,]\d+|[ '’\u00a0\u2009\u202f]\d{3}(?!\d))*")
HAS_UNIT = re.compile(r"[^\W\d_¼½¾⅓⅔⅛⅜⅝⅞]|[\"″”'′’€£$¥]")
PAGES = re.compile(
    r"(\d+)\s*(?:p|pp|pag|pages?|s|seiten|sider|sidor|str|strony?|pagine|páginas|blz|stran|old)?\.?", re.IGNORECASE
)
YEAR = re.compile(r"\[?\s*©?\s*(-?\d+)\s*\]?")


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


def number_part(text: str) -> str:
    """Return the figures of a text such as "12,50 €" or "24,5 cm"; the text itself where it has several or none.

    >>> number_part("12,50 €"), number_part("CHF 1’250.00")
    ('12,50', '1’250.00')
    """
    text = re.sub(r"[.,][-–—]+$", "", text)
    found = NUMBER.findall(text)
    return found[0] if len(found) == 1 else text


def unit_part(text: str) -> str:
    """Return what stands beside the figures: a unit or a currency.

    >>> unit_part("12,50 €"), unit_part("24,5")
    ('€', '')
    """
    rest = NUMBER.sub(" ", re.sub(r"[.,][-–—]+$", "", text)).strip()
    return rest if HAS_UNIT.search(rest) else ""
