"""Reading one response of SRU 1.1, 1.2 or 2.0: how many records, which, where to go on, and diagnostics.

Elements are found by their local names, for servers use various prefixes and two families of namespaces: that of the
Library of Congress (`http://www.loc.gov/zing/srw/`) for 1.1 and 1.2, that of OASIS for 2.0. A fault comes with HTTP
status 200. Entities, document types and the network are off.
"""

from dataclasses import dataclass
from typing import cast

from lxml import etree

from intake.model.lookups import ServerFault, ServerTrouble

DIAGNOSTIC_URI = "info:srw/diagnostic/1/"
HTML_ROOT = "html"
HEAD_BYTES = 2000
LONGEST_DETAIL = 300


@dataclass(frozen=True, slots=True)
class SruPage:
    """One page of records.

    Attributes:
        total: how many the server says it has.
        records: the root of each record; None for one that the server could not give or that cannot be read.
        next_position: where the server says the next page starts, counted from 1; None where it does not say.
    """

    total: int
    records: tuple[etree._Element | None, ...]
    next_position: int | None


def parse_xml(body: bytes) -> etree._Element | ServerFault:
    """Parse XML that a stranger sent.

    Returns:
        Its root; a fault for what is not well-formed, is a web page, or has a document type, which no record needs and
        in which entities could be declared.
    """
    # huge_tree is off: depth over 256 and texts over 10 MB are refused.
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False, remove_pis=True)
    try:
        root = etree.fromstring(body, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        if is_web_page(body):
            return ServerFault(ServerTrouble.HTML)
        return ServerFault(ServerTrouble.NOT_XML, plain(str(error)))
    if local_name(root) == HTML_ROOT:
        return ServerFault(ServerTrouble.HTML)
    if root.getroottree().docinfo.internalDTD is not None:
        return ServerFault(ServerTrouble.DOCTYPE)
    return root


def is_web_page(body: bytes) -> bool:
    """Tell whether a body is HTML by how it begins."""
    head = body[:HEAD_BYTES].lower()
    return b"<html" in head or b"<!doctype html" in head


def read_page(body: bytes) -> SruPage | ServerFault:
    """Read a response to searchRetrieve.

    Returns:
        Its page. A fault where it is not one, where it has a diagnostic of its own (with a count or without), or where
        it claims records on a page and sends none.
    """
    root = parse_xml(body)
    if isinstance(root, ServerFault):
        return root
    if local_name(root) != "searchRetrieveResponse":
        diagnostic = _child(root, "diagnostics")
        if local_name(root) in {"diagnostics", "diagnostic"} or diagnostic is not None:
            return _fault(root)
        return ServerFault(ServerTrouble.NOT_SRU, plain(local_name(root)))
    diagnostics = _child(root, "diagnostics")
    if diagnostics is not None and len(diagnostics):
        return _fault(diagnostics)
    total = _whole(_child(root, "numberOfRecords"))
    if total is None:
        return ServerFault(ServerTrouble.NOT_SRU, "numberOfRecords")
    listed = _child(root, "records")
    records = () if listed is None else tuple(_data(each) for each in listed if local_name(each) == "record")
    if total and not records:
        return ServerFault(ServerTrouble.NO_RECORDS, str(total))
    return SruPage(total, records, _whole(_child(root, "nextRecordPosition")))


def local_name(element: etree._Element) -> str:
    """Return an element's name without its namespace; empty for a comment."""
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


def text_in(element: etree._Element | None) -> str:
    """Return all text in an element, marked up or not, on one line and without control characters."""
    return "" if element is None else plain("".join(cast("list[str]", list(element.itertext()))))


def plain(text: str) -> str:
    r"""Return a stranger's text on one line, with nothing that a terminal would obey.

    >>> plain("Ferns\n of \x1b[31mthe Isles")
    'Ferns of [31mthe Isles'
    """
    return " ".join("".join(c if c.isprintable() else " " if c.isspace() else "" for c in text).split())


def _data(record: etree._Element) -> etree._Element | None:
    """Return the root of a record's data, be it XML or XML escaped as text; None for a surrogate diagnostic."""
    data = _child(record, "recordData")
    if data is None:
        return None
    root = next((each for each in data if local_name(each)), None)
    if root is None:
        parsed = parse_xml("".join(cast("list[str]", list(data.itertext()))).strip().encode())
        root = None if isinstance(parsed, ServerFault) else parsed
    return None if root is None or local_name(root) == "diagnostic" else root


def _fault(diagnostics: etree._Element) -> ServerFault:
    first = next((each for each in diagnostics.iter() if local_name(each) == "diagnostic"), None)
    if first is None:
        return ServerFault(ServerTrouble.DIAGNOSTIC)
    uri, details, message = (text_in(_child(first, name)) for name in ("uri", "details", "message"))
    number = uri.removeprefix(DIAGNOSTIC_URI)
    words = ": ".join(part for part in (message, details) if part)[:LONGEST_DETAIL]
    known = uri.startswith(DIAGNOSTIC_URI) and number.isascii() and number.isdigit() and len(number) < 6
    return ServerFault(ServerTrouble.DIAGNOSTIC, words or uri[:LONGEST_DETAIL], int(number) if known else None)


def _child(element: etree._Element, name: str) -> etree._Element | None:
    return next((each for each in element if local_name(each) == name), None)


def _whole(element: etree._Element | None) -> int | None:
    text = text_in(element)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
