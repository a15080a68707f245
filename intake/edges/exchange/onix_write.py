"""A message of ONIX for Books 3.0 with reference names: editions only, for copies have no place in it.

The elements of each composite stand in the order of the format's schema (from memory). The roles of contributors are
not known here, so each is written with list 17's code for another role (Z99, from memory). What ONIX has no element
for is noted. Source: ONIX for Books Product Information Format 3.0 (EDItEUR).
"""

from collections.abc import Iterator
from datetime import date
from xml.sax.saxutils import escape

from intake.edges.exchange.marc_text import plain_number
from intake.edges.exchange.onix_measures import FIELDS
from intake.edges.exchange.onix_tags import BOOK, CALL_NUMBER, HARDBACK, OWN_KEY, OWN_RECORD, PAPERBACK, SHELF_GROUP
from intake.edges.exchange.outgoing import (
    DEWEY,
    LIBRARY_OF_CONGRESS,
    OutgoingEdition,
    note_private,
    record_name,
    writable,
)
from intake.edges.exchange.record_remarks import Remarks
from intake.model.editions import Edition
from intake.model.identifiers import NumberKind, kind_of_ean
from intake.units.written_languages import bibliographic

NAMESPACE = "http://ns.editeur.org/onix/3.0/reference"
CLOSING = b"</ONIXMessage>\n"
SENDER = "intake"
CONFIRMED = "03"
OTHER_ROLE = "Z99"
ASCRIBED = "20"
FORM_WORDS = {
    **dict.fromkeys(("hardback", "hardcover", "cloth", "hbk", "gebunden"), HARDBACK),
    **dict.fromkeys(("paperback", "softcover", "pbk", "broschiert"), PAPERBACK),
}


def opening(sent: date) -> bytes:
    """Return the beginning of a message."""
    header = (
        f"<Header><Sender><SenderName>{SENDER}</SenderName></Sender><SentDateTime>{sent:%Y%m%d}</SentDateTime></Header>"
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<ONIXMessage release="3.0" xmlns="{NAMESPACE}">\n{header}\n'
    ).encode()


def product_bytes(outgoing: OutgoingEdition, remarks: Remarks) -> bytes:
    """Return one Product in UTF-8; it stands between `opening` and `CLOSING`.

    Args:
        outgoing: the edition; its copies are not written.
        remarks: what has no element is noted here.
    """
    edition = outgoing.edition
    if edition.add_on:
        remarks.left_out("add_on", edition.add_on)
    if edition.collects:
        remarks.left_out("collects", edition.collects)
    if edition.language and not _language_codes(edition.language):
        remarks.left_out("language", edition.language)
    note_private(edition, remarks)
    parts = (
        _leaf("RecordReference", record_name(edition)),
        _leaf("NotificationType", CONFIRMED),
        *_identifiers(edition),
        _whole("DescriptiveDetail", *_described(outgoing)),
        _whole("PublishingDetail", *_published(edition)),
    )
    return f"{writable(_whole('Product', *parts), remarks)}\n".encode()


def _leaf(name: str, text: str, attributes: str = "") -> str:
    return f"<{name}{attributes}>{escape(text)}</{name}>" if text else ""


def _whole(name: str, *parts: str) -> str:
    inside = "".join(parts)
    return f"<{name}>{inside}</{name}>" if inside else ""


def _identifiers(edition: Edition) -> Iterator[str]:
    if edition.key or edition.number is None:
        name = OWN_KEY if edition.key else OWN_RECORD
        yield _identifier("01", record_name(edition), _leaf("IDTypeName", name))
    if edition.number is not None:
        yield _identifier("03", edition.number)
        kind = kind_of_ean(edition.number)
        if kind in (NumberKind.ISBN, NumberKind.ISMN):
            yield _identifier("15" if kind is NumberKind.ISBN else "25", edition.number)


def _identifier(kind: str, value: str, name: str = "") -> str:
    return _whole("ProductIdentifier", _leaf("ProductIDType", kind), name, _leaf("IDValue", value))


def _described(outgoing: OutgoingEdition) -> Iterator[str]:
    edition = outgoing.edition
    yield _leaf("ProductComposition", "00")
    yield _leaf("ProductForm", FORM_WORDS.get(edition.binding.casefold(), BOOK))
    yield _leaf("ProductFormDescription", edition.binding)
    yield from _measures(edition)
    yield _leaf("CountryOfManufacture", edition.printed_in)
    if edition.hs_heading:
        code = _leaf("ProductClassificationCode", edition.hs_heading)
        yield _whole("ProductClassification", _leaf("ProductClassificationType", "01"), code)
    if outgoing.set_title:
        element = _title("02", outgoing.set_title, edition.volume)
        yield _whole("Collection", _leaf("CollectionType", ASCRIBED), element)
    yield _title("01", edition.title, "" if outgoing.set_title else edition.volume)
    for number, name in enumerate(edition.contributors, start=1):
        named = "PersonNameInverted" if "," in name else "PersonName"
        role = _leaf("ContributorRole", OTHER_ROLE)
        yield _whole("Contributor", _leaf("SequenceNumber", str(number)), role, _leaf(named, name))
    yield _leaf("EditionStatement", edition.statement)
    for code in _language_codes(edition.language):
        yield _whole("Language", _leaf("LanguageRole", "01"), _leaf("LanguageCode", code))
    if edition.pages is not None:
        pages = (_leaf("ExtentType", "00"), _leaf("ExtentValue", str(edition.pages)), _leaf("ExtentUnit", "03"))
        yield _whole("Extent", *pages)
    yield from _subjects(edition)


def _language_codes(text: str) -> list[str]:
    """Return the codes of a text's languages as list 74 has them, ISO 639-2/B; none where one is not known."""
    codes = [bibliographic(code) for code in text.split("; ")]
    return codes if all(codes) else []


def _title(level: str, text: str, part: str) -> str:
    element = _whole(
        "TitleElement", _leaf("TitleElementLevel", level), _leaf("PartNumber", part), _leaf("TitleText", text)
    )
    return _whole("TitleDetail", _leaf("TitleType", "01"), element)


def _measures(edition: Edition) -> Iterator[str]:
    for kind, field in FIELDS.items():
        value: float | None = getattr(edition, field)
        if value is not None:
            unit = "gr" if field == "mass_g" else "mm"
            number = _leaf("Measurement", plain_number(value))
            yield _whole("Measure", _leaf("MeasureType", kind), number, _leaf("MeasureUnitCode", unit))


def _subjects(edition: Edition) -> Iterator[str]:
    """Yield call number and shelf group; list 27: 01 Dewey, 03 Library of Congress, 24 proprietary (from memory)."""
    text = edition.call_number
    if DEWEY.fullmatch(text) or LIBRARY_OF_CONGRESS.fullmatch(text):
        scheme = _leaf("SubjectSchemeIdentifier", "01" if DEWEY.fullmatch(text) else "03")
        yield _whole("Subject", scheme, _leaf("SubjectCode", text))
    elif text:
        yield _proprietary(CALL_NUMBER, _leaf("SubjectCode", text))
    if edition.subject:
        yield _proprietary(SHELF_GROUP, _leaf("SubjectHeadingText", edition.subject))


def _proprietary(name: str, value: str) -> str:
    return _whole("Subject", _leaf("SubjectSchemeIdentifier", "24"), _leaf("SubjectSchemeName", name), value)


def _published(edition: Edition) -> Iterator[str]:
    if edition.publisher:
        yield _whole("Publisher", _leaf("PublishingRole", "01"), _leaf("PublisherName", edition.publisher))
    if edition.year is not None:
        day = _leaf("Date", f"{edition.year:04d}", ' dateformat="05"')
        yield _whole("PublishingDate", _leaf("PublishingDateRole", "01"), day)
