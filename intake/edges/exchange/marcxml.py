"""MARC 21 records in MARCXML, in and out.

Source: the MARC 21 XML Schema of the Library of Congress (namespace http://www.loc.gov/MARC21/slim).
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem, Remarks
from intake.edges.exchange.safe_xml import elements, text_of, xml_head

if TYPE_CHECKING:
    from lxml import etree

NAMESPACE = "http://www.loc.gov/MARC21/slim"
FIRST_DATA_FIELD = "010"
OPENING = f'<?xml version="1.0" encoding="UTF-8"?>\n<collection xmlns="{NAMESPACE}">\n'.encode()
CLOSING = b"</collection>\n"
_CHILDREN = ("{*}leader", "{*}controlfield", "{*}datafield")
_SUBFIELDS = ("{*}subfield",)
_START = re.compile(r"<(?:[\w.-]+:)?(?:collection|record)\b")
_SIGNS = re.compile(r"<(?:[\w.-]+:)?(?:leader|controlfield|datafield)\b")


def looks_like_marcxml(first_bytes: bytes) -> bool:
    """Return whether a file that begins like this is MARCXML, with its namespace or without.

    >>> looks_like_marcxml(b'<collection xmlns="http://www.loc.gov/MARC21/slim"><record>')
    True
    """
    head = xml_head(first_bytes)
    return bool(NAMESPACE in head or (_START.search(head) and _SIGNS.search(head)))


def read_marcxml(path: Path, remarks: Remarks) -> Iterator[MarcRecord | RecordFault]:
    """Yield the records of a MARCXML file, and the fault of each that cannot be used.

    Args:
        path: the file; its records may have the namespace or none.
        remarks: its `record` is set to the number of the record that is yielded.

    Raises:
        FileError: the file cannot be read.
    """
    for number, element in enumerate(elements(path, (f"{{{NAMESPACE}}}record", "record")), start=1):
        remarks.record = number
        if isinstance(element, RecordFault):
            yield element
            continue
        try:
            yield record_of(element)
        except RecordError as error:
            yield error.at(number)


def record_of(element: "etree._Element") -> MarcRecord:
    """Read one `record` element.

    Raises:
        RecordError: it holds no field, a tag of other than three characters, or an entity that is not known.
    """
    leader, fields = "", []
    for child in element.iterchildren(*_CHILDREN):
        tag = child.get("tag")
        if tag is None and child.tag.endswith("leader"):
            leader = child.text or ""
        elif tag is None or len(tag) != 3:
            raise RecordError(RecordProblem.NOT_A_RECORD, start=tag or "")
        elif tag < FIRST_DATA_FIELD:
            fields.append(MarcField(tag, data=_verbatim(child)))
        else:
            subfields = [(sub.get("code") or "?", _verbatim(sub)) for sub in child.iterchildren(*_SUBFIELDS)]
            indicators = f"{child.get('ind1') or ' ':.1}{child.get('ind2') or ' ':.1}"
            fields.append(MarcField(tag, indicators, subfields))
    if not fields:
        raise RecordError(RecordProblem.NOT_A_RECORD, start=text_of(element)[:24])
    return MarcRecord(f"{leader:<24.24}", fields)


def _verbatim(element: "etree._Element") -> str:
    """Return the text with its blanks, which positions of control fields are counted by."""
    return text_of(element) if len(element) else element.text or ""


def marcxml_bytes(record: MarcRecord) -> bytes:
    """Return one `record` element in UTF-8; it stands between `OPENING` and `CLOSING`.

    The lengths in the leader are zero, as they have no meaning in XML.
    """
    leader = f"00000{record.leader[5:9]}a2200000{record.leader[17:20]}4500"
    lines = [f"<record><leader>{escape(leader)}</leader>"]
    for field in record.fields:
        if field.data:
            lines.append(f"<controlfield tag={quoteattr(field.tag)}>{_escaped(field.data)}</controlfield>")
            continue
        first, second = field.indicators[:1], field.indicators[1:]
        subfields = "".join(
            f"<subfield code={quoteattr(code)}>{_escaped(value)}</subfield>" for code, value in field.subfields
        )
        opening = f"<datafield tag={quoteattr(field.tag)} ind1={quoteattr(first)} ind2={quoteattr(second)}>"
        lines.append(f"{opening}{subfields}</datafield>")
    return ("\n  ".join(lines) + "\n</record>\n").encode()


def _escaped(text: str) -> str:
    """Return a text as XML; a carriage return would be read as a line feed (XML 1.0, 2.11)."""
    return escape(text, {"\r": "&#13;"})
