"""ONIX for Books messages: release 3.0 with reference names or short tags, and the core of 2.1.

A message is read product by product (`safe_xml`); reference names and short tags become one. Deletion notices are
faults, not editions. What has no field here is named in the remarks.

Source: ONIX for Books Product Information Format (EDItEUR); the lists of codes are named where they are used.
"""

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from intake.edges.exchange.onix_measures import measure_cells
from intake.edges.exchange.onix_prices import price_cells
from intake.edges.exchange.onix_tags import (
    BOOK,
    CALL_NUMBER,
    DESCRIBED,
    FORMS,
    OWN_KEY,
    OWN_RECORD,
    PRODUCT,
    PRODUCT_2_1,
    PUBLISHED,
    REFERENCE_NAMES,
    SHELF_GROUP,
)
from intake.edges.exchange.onix_titles import contributor_names, title_cells
from intake.edges.exchange.record_remarks import RecordError, RecordFault, RecordProblem, RemarkKind, Remarks
from intake.edges.exchange.safe_xml import elements, text_of, xml_head
from intake.model.lookups import RecordNoteKind

if TYPE_CHECKING:
    from lxml import etree

_START = re.compile(r"<(?:[\w.-]+:)?ONIX[Mm]essage\b")
DELETION = "05"
"""List 1 (from memory)."""
ONE_ITEM = "00"
"""List 2 (from memory): the product is one item, as every edition here."""
NUMBER_TYPES = ("15", "03", "25", "02", "14", "04")
"""List 5, the surest first: ISBN-13, GTIN-13, ISMN-13, ISBN-10, GTIN-14, UPC (15, 03, 02, 14 seen in a copy)."""
PAGE_EXTENTS = ("00", "11", "05", "07", "08", "06")
"""List 23, the nearest to what a person counts first: main content, content, numbered, absolute …"""
PAGES = "03"


def looks_like_onix(first_bytes: bytes) -> bool:
    """Return whether a file that begins like this is a message of ONIX for Books.

    >>> looks_like_onix(b'<?xml version="1.0"?><ONIXmessage release="3.0">')
    True
    """
    return bool(_START.search(xml_head(first_bytes)))


class Onix:
    """An element whose children are asked for by their reference names, whichever tags they have."""

    __slots__ = ("_children", "_element")

    def __init__(self, element: "etree._Element") -> None:
        self._element = element
        self._children: dict[str, list[etree._Element]] = {}
        for child in element:
            if isinstance(child.tag, str):
                self._children.setdefault(_reference_name(child.tag), []).append(child)

    @property
    def names(self) -> Iterable[str]:
        """Return the reference names of the children, each once."""
        return self._children.keys()

    def all(self, name: str) -> list["Onix"]:
        """Return the children with a reference name."""
        return [Onix(child) for child in self._children.get(name, ())]

    def value(self, *names: str) -> str:
        """Return the text of the first child with one of the names that is not empty.

        Raises:
            RecordError: a part of the text cannot be known.
        """
        for name in names:
            for child in self._children.get(name, ()):
                if text := text_of(child):
                    return text
        return ""

    def glimpse(self, name: str) -> str:
        """Return the text of the first child with a name, as far as it can be known, for an example."""
        return " ".join(" ".join(map(str, self._children[name][0].itertext())).split())


@lru_cache(4096)
def _reference_name(tag: str) -> str:
    local = tag.rpartition("}")[2]
    return REFERENCE_NAMES.get(local, local)


def read_onix(path: Path, remarks: Remarks) -> Iterator[dict[str, str] | RecordFault]:
    """Yield the cells of each product, by the field names of a catalog, and the fault of each that cannot be used.

    Args:
        path: the message.
        remarks: what has no field or was converted is noted here.

    Raises:
        FileError: the file cannot be read.
    """
    for number, element in enumerate(elements(path, ("{*}Product", "{*}product")), start=1):
        remarks.record = number
        if isinstance(element, RecordFault):
            yield element
            continue
        try:
            yield product_cells(Onix(element), remarks)
        except RecordError as error:
            yield error.at(number)


def product_cells(product: Onix, remarks: Remarks) -> dict[str, str]:
    """Return the cells of one product.

    Raises:
        RecordError: it is a notice of deletion.
    """
    if (notice := product.value("NotificationType")) == DELETION:
        raise RecordError(RecordProblem.DELETED)
    if notice:
        remarks.add(RemarkKind.TECHNICAL, "NotificationType", notice)
    described = next(iter(product.all("DescriptiveDetail")), product)
    published = next(iter(product.all("PublishingDetail")), product)
    is_old = described is product
    _note_unused(product, PRODUCT_2_1 if is_old else PRODUCT, remarks)
    if not is_old:
        _note_unused(described, DESCRIBED, remarks)
    if (composition := described.value("ProductComposition")) not in ("", ONE_ITEM):
        remarks.left_out("ProductComposition", composition)
    if published is not product:
        _note_unused(published, PUBLISHED, remarks)
    cells = {
        **_identifiers(product, remarks),
        "contributors": "; ".join(contributor_names(described, remarks)),
        "edition": described.value("EditionStatement") or _edition_number(described),
        "binding": _binding(described, remarks),
        "language": _language(described),
        "pages": _pages(described),
        "printed_in": described.value("CountryOfManufacture"),
        "hs_heading": _customs_code(described, remarks),
        **_subjects(described, remarks),
        **title_cells(described, remarks),
        **measure_cells(described, remarks),
        **_publication(published, remarks),
        **price_cells(product, remarks),
    }
    return {name: text for name, text in cells.items() if text}


def _note_unused(parent: Onix, used: frozenset[str], remarks: Remarks) -> None:
    for name in parent.names:
        if name not in used:
            remarks.left_out(name, partial(parent.glimpse, name))


def _identifiers(product: Onix, remarks: Remarks) -> dict[str, str]:
    """Return number and own key; IDs that are another form of the same number are not worth a remark.

    The sender's name of the record is a key where nothing else names the edition.
    """
    by_type: dict[str, str] = {}
    key = ""
    for identifier in product.all("ProductIdentifier"):
        kind, value = identifier.value("ProductIDType"), identifier.value("IDValue")
        if kind == "01" and identifier.value("IDTypeName") in (OWN_KEY, OWN_RECORD):
            key = value if identifier.value("IDTypeName") == OWN_KEY else key
        elif kind in NUMBER_TYPES and kind not in by_type:
            by_type[kind] = value
        else:
            remarks.left_out(f"ProductIdentifier {kind}", value)
    by_type.setdefault("15", product.value("EAN13"))
    by_type.setdefault("02", product.value("ISBN"))
    number = next((by_type[kind] for kind in NUMBER_TYPES if by_type.get(kind)), "")
    # A GTIN-14 of a single article is its GTIN-13 behind an indicator 0 (GS1 General Specifications, 2.1).
    number = number[1:] if len(number) == 14 and number.startswith("0") else number
    reference = product.value("RecordReference")
    key = key or ("" if number else reference)
    if reference and reference != key:
        remarks.add(RemarkKind.TECHNICAL, "RecordReference", reference)
    return {"number": number, "key": key}


def _edition_number(described: Onix) -> str:
    number = described.value("EditionNumber")
    return f"edition {number}" if number and number != "1" else ""


def _binding(described: Onix, remarks: Remarks) -> str:
    """Return the binding in the publisher's words, else what the code of the form says."""
    form = described.value("ProductForm")
    description = described.value("ProductFormDescription")
    if not description and form and form not in FORMS and form != BOOK:
        remarks.left_out("ProductForm", form)
    return description or FORMS.get(form, "")


def _language(described: Onix) -> str:
    codes = [one.value("LanguageCode") for one in described.all("Language") if one.value("LanguageRole") == "01"]
    return "; ".join(dict.fromkeys(codes)) or described.value("LanguageOfText")


def _pages(described: Onix) -> str:
    counts = {
        extent.value("ExtentType"): extent.value("ExtentValue")
        for extent in described.all("Extent")
        if extent.value("ExtentUnit") == PAGES
    }
    return next((counts[kind] for kind in PAGE_EXTENTS if kind in counts), described.value("NumberOfPages"))


def _customs_code(described: Onix, remarks: Remarks) -> str:
    """Return the code of the Harmonized System (list 9, code 01: seen in a copy of a record)."""
    code = ""
    for one in described.all("ProductClassification"):
        kind, value = one.value("ProductClassificationType"), one.value("ProductClassificationCode")
        if kind == "01" and not code:
            code = value
        else:
            remarks.left_out(f"ProductClassification {kind}", value)
    return code


def _subjects(described: Onix, remarks: Remarks) -> dict[str, str]:
    """Return call number and shelf group; list 27: 01 Dewey, 03 Library of Congress, 24 proprietary (from memory)."""
    found: dict[str, str] = {}
    for subject in described.all("Subject"):
        scheme, name = subject.value("SubjectSchemeIdentifier"), subject.value("SubjectSchemeName")
        value = subject.value("SubjectCode", "SubjectHeadingText")
        if scheme == "24" and name == SHELF_GROUP:
            field = "subject"
        elif scheme in ("01", "03") or (scheme == "24" and name == CALL_NUMBER):
            field = "call_number"
        else:
            field = ""
        if field and field not in found:
            found[field] = value
        else:
            remarks.left_out(f"Subject {scheme or '?'}", value)
    return found


def _publication(published: Onix, remarks: Remarks) -> dict[str, str]:
    """Return publisher (list 45, role 01; else the imprint) and year (list 163, role 01, else 11: from memory)."""
    publishers = published.all("Publisher")
    first = [one for one in publishers if one.value("PublishingRole") in ("01", "")] or publishers
    imprint = next((one.value("ImprintName") for one in published.all("Imprint")), "")
    name = first[0].value("PublisherName") if first else published.value("PublisherName")
    for part in ("Publisher", "Imprint"):
        for text in (one.value(f"{part}Name") for one in published.all(part)):
            if text not in (name or imprint, ""):
                remarks.left_out(part, text)
    dates = {one.value("PublishingDateRole"): one.value("Date") for one in published.all("PublishingDate")}
    day = dates.get("01") or dates.get("11") or published.value("PublicationDate")
    for role, text in dates.items():
        if text != day:
            remarks.left_out(f"PublishingDate {role}", text)
    year = re.match(r"\d{4}", day)
    if year and day != year[0]:
        remarks.converted("PublishingDate", day, RecordNoteKind.YEAR_OF_DATE)
    elif day and not year:
        remarks.left_out("PublishingDate", day)
    return {"publisher": name or imprint, "year": year[0] if year else ""}
