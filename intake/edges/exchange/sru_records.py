"""A record of a library, MARCXML or Dublin Core, as plain fields of an edition.

A MARC record is read as an import reads it (`marc_editions`), so that both keep the same of it. What is converted has a
note; what an edition has no field for is listed.
"""

import re
from collections.abc import Iterable, Mapping

from lxml import etree

from intake.edges.exchange.marc_editions import BINDING_NOTE, edition_cells, is_holdings
from intake.edges.exchange.marc_fields import MarcRecord
from intake.edges.exchange.marc_numbers import record_numbers
from intake.edges.exchange.marc_scripts import by_tag
from intake.edges.exchange.marc_text import extent_in, sizes_in, trimmed, trimmed_name, year_in
from intake.edges.exchange.marcxml import NAMESPACE, record_of
from intake.edges.exchange.record_remarks import EveryRemark, RecordError, RecordRemark, RemarkKind
from intake.edges.exchange.sru_response import local_name, plain, text_in
from intake.model.lookups import LookedUpRecord, RecordNote, RecordNoteKind, RecordNumber, RecordValue

DUBLIN_CORE = "http://purl.org/dc/elements/1.1/"
LONGEST_VALUE = 1000
"""Characters of the longest text that is offered as a field; a title page has less."""
YEARS = range(1400, 2100)
"""No book was printed before."""

_NAMES = {"edition": "statement"}
"""Cells that the record of an edition has under another name."""
_OF_THE_LIBRARY = ("key", "number", "add_on")
"""Cells that are not offered: whose record it is, and the numbers, which are listed by themselves."""
_WHOLE, _SIZES = ("year", "pages"), ("height_mm", "width_mm", "thickness_mm", "mass_g")
_NUMBERS_BESIDES = {"020 besides", "022 besides", "024 besides"}
_NOTED: Mapping[RecordNoteKind, tuple[str, ...]] = {
    RecordNoteKind.HEIGHT_ROUNDED_UP: ("height_mm", "width_mm"),
    RecordNoteKind.PAGES_ADDED: ("pages",),
    RecordNoteKind.NAME_SEPARATOR: ("contributors",),
    **dict.fromkeys((kind for kind in RecordNoteKind if kind.name.startswith("YEAR")), ("year",)),
}
"""The fields that a note is about; that of another script is about those of its MARC field."""
_IN_SCRIPT = {"245": ("title", "set"), "250": ("statement",), "260": ("publisher",), "264": ("publisher",)}


def read_record(root: etree._Element) -> LookedUpRecord | None:
    """Read one record; None where it is in neither format, or of no edition, whatever the server calls it.

    MARCXML without its namespace is taken too. Another MARC than MARC 21 in it has its number elsewhere, so that it is
    never taken for what was asked for.
    """
    marc = next((each for each in root.iter(f"{{{NAMESPACE}}}record", "record")), None)
    if marc is not None:
        return _marc(marc)
    elements = [each for each in root if str(each.tag).startswith(f"{{{DUBLIN_CORE}}}")]
    return _dublin_core(elements) if elements else None


def _marc(element: etree._Element) -> LookedUpRecord | None:
    remarks = EveryRemark()
    try:
        record = _on_one_line(record_of(element))
        if is_holdings(record):
            return None
        cells = edition_cells(record, remarks)
    except RecordError:
        return None
    if not any(record.having(BINDING_NOTE)):
        cells.pop("binding", None)  # of one number; who asks by another finds that one's in its qualifier
    control = next((field.data for field in record.having("001")), "")
    return _looked_up(plain(control), record_numbers(by_tag(record)), cells, remarks)


def _on_one_line(record: MarcRecord) -> MarcRecord:
    """Return a stranger's record with nothing in it that a terminal would obey."""
    fields = [
        field._replace(subfields=[(plain(code), plain(text)) for code, text in field.subfields])
        for field in record.fields
    ]
    return record._replace(fields=fields)


def _looked_up(
    record_id: str, numbers: Iterable[RecordNumber], cells: Mapping[str, str], remarks: Iterable[RecordRemark]
) -> LookedUpRecord:
    fields: dict[str, RecordValue] = {}
    left_out: list[tuple[str, str]] = []
    notes: list[RecordNote] = []
    for name, text in cells.items():
        value = _value(name, text)
        if value is not None:
            fields[_NAMES.get(name, name)] = value
        elif name not in _OF_THE_LIBRARY:
            left_out.append((name, text))
    for remark in remarks:
        text = remark.example.strip(" :;,/")
        if remark.note is not None:
            noted = _NOTED.get(remark.note) or _IN_SCRIPT.get(remark.where[:3], ("contributors",))
            notes += [RecordNote(remark.note, name, text) for name in noted if name in fields]
        elif remark.kind is not RemarkKind.TECHNICAL and remark.where not in _NUMBERS_BESIDES:
            left_out.append((remark.where, text))
    return LookedUpRecord(
        id=record_id, numbers=tuple(numbers), fields=fields, notes=tuple(notes), left_out=tuple(left_out)
    )


def _value(name: str, text: str) -> RecordValue | None:
    """Return the value of a cell; None where it is not offered, or cannot be one."""
    if name in _OF_THE_LIBRARY or len(text) > LONGEST_VALUE:
        return None
    if name in _WHOLE:
        return int(text) if text.isdecimal() and (name != "year" or int(text) in YEARS) else None
    if name in _SIZES:
        return float(text)
    if name == "contributors":
        return tuple(filter(None, (person.strip() for person in text.split(";"))))
    return text


def _dublin_core(elements: list[etree._Element]) -> LookedUpRecord:
    remarks = EveryRemark()
    numbers: list[RecordNumber] = []
    cells: dict[str, str] = {}
    names: list[str] = []
    for element in elements:
        name, text = local_name(element), text_in(element)
        if name == "identifier":
            numbers.append(RecordNumber(re.sub(r"(?i)^(urn:)?(isbn|issn|ismn)[:\s]*", "", text)))
        elif name in {"creator", "contributor"}:
            names.append(trimmed_name(text, has_punctuation=True).replace(";", ","))
        elif new := _core_cells(name, text, remarks).items() - cells.items():
            for field, value in new:
                if cells.setdefault(field, value) != value:
                    remarks.left_out(f"dc:{name}", text)
    if names:
        cells["contributors"] = "; ".join(dict.fromkeys(names))
    return _looked_up("", numbers, cells, remarks)


def _core_cells(name: str, text: str, remarks: EveryRemark) -> dict[str, str]:
    """Return the cells that one element fills; one that fills none, or that is more than its cells, is noted."""
    if name in {"title", "publisher", "language"}:
        return {name: trimmed(text, has_punctuation=True)}
    if name == "date" and (found := year_in(text))[0]:
        if found[1] is not None:
            remarks.converted("dc:date", text, found[1])
        return {"year": found[0]}
    extent_text, _, size_text = text.partition(";")
    extent, sizes = extent_in(extent_text.strip()), sizes_in(size_text)
    if name != "format" or not (extent.pages or sizes.cells):
        remarks.left_out(f"dc:{name}", text)
        return {}
    if extent.is_sum:
        remarks.converted("dc:format", extent_text, RecordNoteKind.PAGES_ADDED)
    if sizes.is_rounded:
        remarks.converted("dc:format", size_text, RecordNoteKind.HEIGHT_ROUNDED_UP)
    if extent.rest or sizes.rest:
        remarks.left_out("dc:format", text)
    return ({"pages": extent.pages} if extent.pages else {}) | dict(sizes.cells)
