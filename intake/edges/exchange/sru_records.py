"""A record of a library, MARCXML or Dublin Core, as plain fields of an edition.

Names of MARC fields and subfields: MARC 21 Format for Bibliographic Data. The punctuation that cataloguing rules put at
the end of a subfield (ISBD) is taken off. What is converted has a note; what an edition has no field for is listed.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from lxml import etree

from intake.edges.exchange.catalogued_values import (
    clean,
    clean_name,
    page_sequences,
    sides_cm,
    turned_name,
    without_isbd,
    year_in,
)
from intake.edges.exchange.sru_response import local_name, text_in
from intake.model.lookups import LookedUpRecord, RecordNote, RecordNoteKind, RecordNumber, RecordValue

MARC = "http://www.loc.gov/MARC21/slim"
DUBLIN_CORE = "http://purl.org/dc/elements/1.1/"
LONGEST_VALUE = 1000
"""Characters of the longest text that is offered as a field; a title page has less."""
OF_THE_RECORD = {"035", "040"}
"""Fields about the record itself: its numbers elsewhere, who catalogued it."""
LINKING = "0124568"
"""Subfields that link a field to others, or say by which list it is coded."""
NAMES = ("100", "110", "111", "700", "710", "711")
NO_LANGUAGE = {"und", "zxx", "mul", "mis"}


@dataclass(slots=True)
class _Draft:
    """A record while it is read."""

    numbers: list[RecordNumber] = field(default_factory=list)
    fields: dict[str, RecordValue] = field(default_factory=dict)
    notes: list[RecordNote] = field(default_factory=list)
    left_out: list[tuple[str, str]] = field(default_factory=list)

    def put(self, name: str, value: RecordValue | None, where: str = "") -> None:
        """Offer a value; a second one, or a text that is too long to be one, is left out."""
        if not value or self.fields.get(name) == value:
            return
        too_long = isinstance(value, str) and len(value) > LONGEST_VALUE
        if name in self.fields or too_long:
            self.left_out.append((where or name, str(value)))
        else:
            self.fields[name] = value

    def note(self, kind: RecordNoteKind, name: str, text: str) -> None:
        """Keep how a value differs from what the record says."""
        self.notes.append(RecordNote(kind, name, text.strip(" :;,/")))

    def record(self, record_id: str) -> LookedUpRecord:
        """Return what was read."""
        return LookedUpRecord(
            id=record_id,
            numbers=tuple(self.numbers),
            fields=self.fields,
            notes=tuple(self.notes),
            left_out=tuple(self.left_out),
        )


@dataclass(frozen=True, slots=True)
class _Field:
    """A data field: its tag, its indicators, its subfields in order."""

    tag: str
    first: str
    second: str
    subfields: tuple[tuple[str, str], ...]

    def all(self, codes: str) -> list[str]:
        return [text for code, text in self.subfields if code in codes and text]

    @property
    def text(self) -> str:
        return " ".join(text for _, text in self.subfields)

    def get(self, code: str) -> str:
        return next(iter(self.all(code)), "")


def read_record(root: etree._Element) -> LookedUpRecord | None:
    """Read one record; None where it is in neither format, whatever the server calls it.

    MARCXML without its namespace is taken too. Another MARC than MARC 21 in it has its number elsewhere, so that it is
    never taken for what was asked for.
    """
    marc = next((each for each in root.iter(f"{{{MARC}}}record", "record")), None)
    if marc is not None:
        return _marc(marc)
    elements = [each for each in root if str(each.tag).startswith(f"{{{DUBLIN_CORE}}}")]
    return _dublin_core(elements) if elements else None


def _marc(root: etree._Element) -> LookedUpRecord:
    control = {each.get("tag", ""): each.text or "" for each in root if local_name(each) == "controlfield"}
    draft = _Draft()
    for found in _fields(root):
        if (reader := _READERS.get(found.tag)) is not None:
            read, codes = reader
            read(draft, found)
            rest = [(code, text) for code, text in found.subfields if code not in codes + LINKING]
            draft.left_out += [
                (f"{found.tag} ${code}", without_isbd(text)) for code, text in rest if without_isbd(text)
            ]
        elif found.tag not in OF_THE_RECORD:
            draft.left_out.append((found.tag, found.text))
    fixed = control.get("008", "")
    coded = {"language": fixed[35:38].strip(" |"), "year": year_in(fixed[7:11])}
    for name, value in coded.items():
        if name not in draft.fields and value not in NO_LANGUAGE:
            draft.put(name, value)
    return draft.record(" ".join(control.get("001", "").split()))


def _fields(root: etree._Element) -> Iterator[_Field]:
    for each in root:
        if local_name(each) == "datafield":
            pairs = tuple((sub.get("code", ""), text_in(sub)) for sub in each if local_name(sub) == "subfield")
            yield _Field(each.get("tag", ""), each.get("ind1", " "), each.get("ind2", " "), pairs)


def _number(draft: _Draft, found: _Field) -> None:
    """Read 020, 022 and 024; before 2013 the qualifier stood in $a ("0879832355 (pbk.)")."""
    if found.tag == "024" and found.first not in "23":
        draft.left_out.append((f"{found.tag} $a", " ".join(found.all("adz"))))
        return
    add_on = found.get("d") if found.tag == "024" else ""
    for text in found.all("a"):
        number, _, rest = text.partition(" ")
        qualifier = " ".join((*found.all("q"), rest)).strip(" :;()")
        draft.numbers.append(RecordNumber(f"{number} {add_on}".strip(), qualifier))
    draft.numbers += [RecordNumber(text.partition(" ")[0], cancelled=True) for text in found.all("yz")]


def _title(draft: _Draft, found: _Field) -> None:
    main, rest = (clean(" ".join(found.all(code))) for code in "ab")
    parts = ". ".join(filter(None, map(clean, found.all("p"))))
    title = ": ".join(filter(None, (main, rest)))
    draft.put("title", ". ".join(filter(None, (title, parts))), "245")
    draft.put("volume", " ".join(map(clean, found.all("n"))), "245 $n")


def _person(draft: _Draft, found: _Field) -> None:
    if found.get("t"):  # a work that is contained or related, not a person who made this one
        draft.left_out.append((f"{found.tag} $a", " ".join(found.all("ab"))))
        return
    written = clean_name(" ".join(found.all("ab")))
    if len(written) > LONGEST_VALUE:
        draft.left_out.append((found.tag, written))
        return
    name = turned_name(written) if found.tag in {"100", "700"} and found.first == "1" else written
    if name != written:
        draft.note(RecordNoteKind.NAME_TURNED, "contributors", written)
    _add_name(draft, name)


def _add_name(draft: _Draft, name: str) -> None:
    names = draft.fields.get("contributors", ())
    if name and isinstance(names, tuple) and name not in names:
        draft.fields["contributors"] = (*names, name)


def _statement(draft: _Draft, found: _Field) -> None:
    draft.put("statement", without_isbd(" ".join(found.all("ab"))), "250")


def _publication(draft: _Draft, found: _Field) -> None:
    """Read 260 and 264; of 264 only publication (second indicator 1), and the year of copyright (4)."""
    if found.tag == "264" and found.second not in "14":
        draft.left_out.append((f"{found.tag} $b", " ".join(found.all("bc"))))
        return
    draft.put("publisher", without_isbd(found.get("b")), found.tag)
    _take_year(draft, found.get("c"))


def _take_year(draft: _Draft, text: str) -> None:
    """Read a year as it is catalogued: "1987", "c1987", "[1987?]", "1987, ©1986", "1990-"."""
    years = [year for year in map(year_in, re.findall(r"(?<!\d)\d{4}(?!\d)", text)) if year is not None]
    if not years or "year" in draft.fields:
        if text and years[:1] != [draft.fields.get("year")]:
            draft.left_out.append(("date", text))
        return
    draft.put("year", years[0])
    before = text.partition(str(years[0]))[0]
    if re.search(r"[?]|\bca\b|\bnot before\b", text):
        draft.note(RecordNoteKind.YEAR_UNCERTAIN, "year", text)
    elif re.search(r"[c©℗]\s*$", before):
        draft.note(RecordNoteKind.YEAR_OF_COPYRIGHT, "year", text)
    elif len(set(years)) > 1 or text.rstrip(" .]").endswith("-"):
        draft.note(RecordNoteKind.YEAR_FIRST_OF_SEVERAL, "year", text)


def _description(draft: _Draft, found: _Field) -> None:
    draft_extent(draft, found.get("a"), found.get("c"))


def draft_extent(draft: _Draft, extent: str, size: str) -> None:
    """Read pages ("xii, 345 p.") and size ("28 cm", "20 x 28 cm": height by width), rounded up to whole centimetres."""
    pages = page_sequences(extent)
    if pages:
        draft.put("pages", sum(pages))
        if len(pages) > 1:
            draft.note(RecordNoteKind.PAGES_ADDED, "pages", extent)
    elif extent:
        draft.left_out.append(("300 $a", clean(extent)))
    sides = sides_cm(size)
    for name, side in zip(("height_mm", "width_mm"), sides, strict=False):
        draft.put(name, side * 10)
        draft.note(RecordNoteKind.HEIGHT_ROUNDED_UP, name, clean(size))
    if size and not sides:
        draft.left_out.append(("300 $c", clean(size)))


def _language(draft: _Draft, found: _Field) -> None:
    """Read 041 $a; older records run codes together ("engfre")."""
    codes = [text[at : at + 3] for text in found.all("a") for at in range(0, len(text), 3)]
    if codes and codes[0] not in NO_LANGUAGE:
        draft.put("language", codes[0], "041")
        if len(codes) > 1:
            draft.note(RecordNoteKind.LANGUAGE_FIRST_OF_SEVERAL, "language", " ".join(codes))


def _call_number(draft: _Draft, found: _Field) -> None:
    """Read 050 and 082; a slash in 082 is a mark of where the number may be cut."""
    text = " ".join(found.all("ab")) if found.tag == "050" else found.get("a").replace("/", "")
    draft.put("call_number", text, found.tag)


_READERS: dict[str, tuple[Callable[[_Draft, _Field], None], str]] = {
    **dict.fromkeys(("020", "022", "024"), (_number, "adqyz")),
    **dict.fromkeys(NAMES, (_person, "ab")),
    **dict.fromkeys(("260", "264"), (_publication, "bc")),
    **dict.fromkeys(("050", "082"), (_call_number, "ab")),
    "041": (_language, "a"),
    "245": (_title, "abnp"),
    "250": (_statement, "ab"),
    "300": (_description, "ac"),
}
"""What reads a field, and the subfields that it says something of; the others are left out."""


def _dublin_core(elements: list[etree._Element]) -> LookedUpRecord:
    draft = _Draft()
    for each in elements:
        name, text = local_name(each), text_in(each)
        if name == "identifier":
            draft.numbers.append(RecordNumber(re.sub(r"(?i)^(urn:)?(isbn|issn|ismn)[:\s]*", "", text)))
        elif name in {"creator", "contributor"}:
            written = clean_name(text)
            if (turned := turned_name(written)) != written:
                draft.note(RecordNoteKind.NAME_TURNED, "contributors", written)
            _add_name(draft, turned)
        elif name == "date":
            _take_year(draft, text)
        elif name == "format" and re.search(r"\d", text):
            extent, _, size = text.partition(";")
            draft_extent(draft, extent, size)
        elif name in {"title", "publisher", "language"} and name not in draft.fields:
            draft.put(name, clean(text), f"dc:{name}")
        else:
            draft.left_out.append((f"dc:{name}", text))
    return draft.record("")
