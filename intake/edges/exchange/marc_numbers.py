"""The number of the edition in a MARC 21 record: ISBN (020), other article numbers (024), ISSN (022).

Cancelled and wrong numbers ($z) never match. A record of several bindings or volumes has several ISBNs: the first that
is not said to be of a set or of an electronic book is taken, and the others are named. The check digit is checked where
the row is used.
"""

import re
from collections.abc import Mapping, Sequence

from intake.edges.exchange.marc_fields import MarcField
from intake.edges.exchange.record_remarks import Remarks
from intake.model.lookups import RecordNumber

_DIGITS = re.compile(r"[0-9][0-9Xx\-‐-―]*(?:\s[0-9Xx\-]+)*")
_OTHER_BOOK = re.compile(r"\b(?:set|e-?book|electronic|online|pdf|epub|e-?pub|kindle|audio)\b", re.IGNORECASE)
_ADD_ON = re.compile(r"[0-9]{2}|[0-9]{5}")
SCHEMES = "321"
"""First indicators of 024 that are article numbers, the likeliest first: EAN, ISMN, UPC."""


def number_cells(fields: Mapping[str, Sequence[MarcField]], remarks: Remarks) -> tuple[str, str]:
    """Return the number and its add-on, each empty where the record has none.

    Args:
        fields: of the record, by tag.
        remarks: the numbers that are not taken are noted.
    """
    isbn = _isbn(fields.get("020", ()), remarks)
    articles = sorted(
        (field for field in fields.get("024", ()) if field.indicators[0] in SCHEMES and field.first("a")),
        key=lambda field: SCHEMES.index(field.indicators[0]),
    )
    for field in fields.get("024", ()):
        if field not in articles:
            remarks.left_out("024", field.text)
    article = next((field for field in articles if not isbn or same_isbn(field.first("a"), isbn)), None)
    for field in articles:
        if field is not article:
            remarks.left_out("024 besides", field.first("a"))
    number = isbn or (article.first("a") if article else "")
    issn = [field.first("a") for field in fields.get("022", ()) if field.first("a")]
    for text in issn[(0 if number else 1) :]:
        if not number.startswith("977" + _plain(text)[:7]):
            remarks.left_out("022 besides", text)
    if not number and issn:
        number = f"ISSN {issn[0]}"
    return number, _add_on(article, number, remarks)


def _add_on(article: MarcField | None, number: str, remarks: Remarks) -> str:
    text = article.first("d") if article is not None and number else ""
    if not text or _ADD_ON.fullmatch(text):
        return text
    remarks.left_out("024 $d", text)
    return ""


def record_numbers(fields: Mapping[str, Sequence[MarcField]]) -> list[RecordNumber]:
    """Return every number of a record, with what it says of it; those that are wrong or cancelled are marked.

    Args:
        fields: of the record, by tag.
    """
    articles = [field for field in fields.get("024", ()) if field.indicators[0] in SCHEMES]
    numbers = _isbns(fields.get("020", ()))
    numbers += [RecordNumber(text) for field in fields.get("022", ()) for text in field.all("a")]
    numbers += [
        RecordNumber(f"{text} {field.first('d')}".strip(), " ".join(field.all("q")))
        for field in articles
        for text in field.all("a")
    ]
    wrong = (text for tag in ("020", "022", "024") for field in fields.get(tag, ()) for text in field.all("yz"))
    return numbers + [RecordNumber(text.partition(" ")[0], cancelled=True) for text in wrong]


def _isbns(fields: Sequence[MarcField]) -> list[RecordNumber]:
    """Return the ISBNs with their qualifiers, which stood in $a before 2013 ("0879832355 (pbk.)")."""
    numbers: list[RecordNumber] = []
    for field in fields:
        for text in field.all("a"):
            if digits := _DIGITS.match(text):
                qualifier = " ".join((text[digits.end() :], *field.all("q"))).strip(" :;()")
                numbers.append(RecordNumber(digits[0], qualifier))
    return numbers


def _isbn(fields: Sequence[MarcField], remarks: Remarks) -> str:
    """Return the ISBN of the book itself."""
    for field in fields:
        for text in field.all("a"):
            if not _DIGITS.match(text):
                remarks.left_out("020 $a", text)
    numbers = _isbns(fields)
    if not numbers:
        return ""
    taken = next((number for number in numbers if not _OTHER_BOOK.search(number.qualifier)), numbers[0]).text
    alike = [number.text for number in numbers if same_isbn(number.text, taken)]
    for number in numbers:
        if not same_isbn(number.text, taken):
            remarks.left_out("020 besides", " ".join((number.text, number.qualifier)).strip())
    return max(alike, key=lambda text: len(_plain(text)))


def same_isbn(first: str, second: str) -> bool:
    """Return whether two numbers are one: an ISBN-10 is the ISBN-13 of the same book.

    >>> same_isbn("0-306-40615-2", "9780306406157")
    True
    """
    return first == second or _body(first) == _body(second)


def _body(text: str) -> str:
    digits = _plain(text)
    return "978" + digits[:9] if len(digits) == 10 else digits[:12]


def _plain(text: str) -> str:
    return re.sub(r"[^0-9Xx]", "", text).upper()
