"""The edition that a MARC 21 record describes, as the cells of a row of a catalog.

The fields and what they mean: MARC 21 Format for Bibliographic Data (Library of Congress). What has no field here is
named in the remarks. A series is a set only where its volumes are numbered, or where the record says that it is part of
a set (leader, position 19). The number is checked where the row is used.
"""

import re
from collections.abc import Iterator, Sequence
from string import printable

from intake.edges.exchange.marc_fields import MarcField, MarcRecord
from intake.edges.exchange.marc_holdings import CONTENTS, HELD, HOLDINGS_TAGS, collected_in, holdings_statements
from intake.edges.exchange.marc_names import TECHNICAL
from intake.edges.exchange.marc_numbers import number_cells, record_numbers, same_isbn
from intake.edges.exchange.marc_scripts import by_tag, in_own_script
from intake.edges.exchange.marc_text import binding_in, extent_in, sizes_in, trimmed, trimmed_name, year_in
from intake.edges.exchange.outgoing import PLACEHOLDER
from intake.edges.exchange.record_remarks import RecordError, RecordProblem, RemarkKind, Remarks
from intake.model.lookups import RecordNoteKind

BINDING_NOTE = "563"
NAMES = ("100", "110", "111", "700", "710", "711")
USED = {
    **dict.fromkeys(("001", "008"), ""),
    **dict.fromkeys(("022", "041", "082", "084", "546", BINDING_NOTE), "a"),
    **dict.fromkeys(("050", "250"), "ab"),
    **dict.fromkeys(NAMES, "abc"),
    "020": "aq",
    "024": "ad",
    "245": "abnp",
    "260": "bc",
    "264": "abc",
    "300": "ac",
    "490": "av",
    **dict.fromkeys((CONTENTS, "650"), printable),  # noted whole where they are not used
}
"""The subfields that fill a cell; every other one is named in the remarks."""
IN_OWN_SCRIPT = {tag: USED[tag] for tag in (*NAMES, "245", "250")} | dict.fromkeys(("260", "264", "490"), "")
ITEMS = ("852", "853", "854", "855", "863", "864", "865", "866", "867", "868", "876", "877", "878")
HOLDINGS = "uvxy"
BIBLIOGRAPHIC = "acdefgijkmoprt"


def is_holdings(record: MarcRecord) -> bool:
    """Return whether a record describes copies of an edition that another record describes."""
    return record.leader[6] in HOLDINGS


def check_usable(record: MarcRecord) -> None:
    """Refuse a record that describes no edition.

    Raises:
        RecordError: it is marked as deleted, or is about a name, a subject or a class.
    """
    if record.leader[5] == "d":
        raise RecordError(RecordProblem.DELETED)
    if record.leader[6] not in BIBLIOGRAPHIC + HOLDINGS + " ":
        raise RecordError(RecordProblem.NOT_BIBLIOGRAPHIC, type=record.leader[6])


def edition_cells(record: MarcRecord, remarks: Remarks) -> dict[str, str]:
    """Return the cells of one edition, by the field names of a catalog; `HELD` besides, of a serial.

    Args:
        record: a bibliographic record.
        remarks: what has no cell, or was converted, is noted here.

    Raises:
        RecordError: the record describes no edition.
    """
    check_usable(record)
    reading = _EditionReading(in_own_script(record, IN_OWN_SCRIPT, remarks), remarks)
    cells = reading.cells()
    if statements := holdings_statements(record):
        cells[HELD] = "\n".join(statements)
    for field in reading.record.fields:
        if not statements or field.tag not in HOLDINGS_TAGS:
            _note_unused(field, remarks)
    return cells


def own_key(record: MarcRecord, number: str) -> str:
    """Return what the record calls its edition: the control number, behind the code of who gave it.

    A placeholder of ours counts only where the edition has no number by which its copies could name it.
    """
    control = next((field.data.strip() for field in record.having("001")), "")
    giver = next((field.data.strip() for field in record.having("003")), "")
    if PLACEHOLDER.fullmatch(control) and number:
        return ""
    return f"({giver}){control}" if giver and control else control


def _note_unused(field: MarcField, remarks: Remarks) -> None:
    if field.tag in ITEMS:
        remarks.add(RemarkKind.COPIES, field.tag, field.text)
    elif field.tag in TECHNICAL:
        remarks.add(RemarkKind.TECHNICAL, field.tag, field.text)
    elif field.tag not in USED:
        remarks.left_out(field.tag, field.text)
    else:
        for code, value in field.subfields:
            if code not in USED[field.tag] and code != "6" and value.strip():
                kind = RemarkKind.TECHNICAL if code in "01258" else RemarkKind.LEFT_OUT
                remarks.add(kind, f"{field.tag} ${code}", value)


class _EditionReading:
    """Reads one record, field by field."""

    def __init__(self, record: MarcRecord, remarks: Remarks) -> None:
        self.record = record
        self._fields = by_tag(record)
        self._remarks = remarks
        self._has_punctuation = record.leader[18] not in "cn"

    def cells(self) -> dict[str, str]:
        """Return all cells that the record fills."""
        number, add_on = number_cells(self._fields, self._remarks)
        cells = {
            "key": own_key(self.record, number),
            "number": number,
            "add_on": add_on,
            "contributors": "; ".join(self._contributors()),
            "edition": " ".join(self._trim(part) for part in self._field("250").all("ab")),
            "binding": self._binding(number),
            "language": self._language(),
            "call_number": self._call_number(),
            "subject": self._subject(),
            "collects": collected_in(self._fields.get(CONTENTS, ()), self._remarks),
            **self._titles(),
            **self._publication(),
            **self._extent(),
        }
        return {name: text for name, text in cells.items() if text}

    def _all(self, *tags: str) -> Iterator[MarcField]:
        return (field for tag in tags for field in self._fields.get(tag, ()))

    def _field(self, *tags: str) -> MarcField:
        """Return the first field with one of the tags; the others are noted."""
        fields = list(self._all(*tags))
        for other in fields[1:]:
            self._remarks.left_out(f"{other.tag} again", other.text)
        return fields[0] if fields else MarcField(tags[0])

    def _trim(self, text: str) -> str:
        return trimmed(text, has_punctuation=self._has_punctuation)

    def _titles(self) -> dict[str, str]:
        """Return title, set and volume."""
        field = self._field("245")
        codes = "".join(code for code, _ in field.subfields)
        before_part = "ab" if "p" not in codes else codes[: codes.index("p")]  # a remainder after $p is the part's
        main = ": ".join(self._trim(part) for part in field.all("ab" if "b" in before_part else "a"))
        part_name = " ".join(self._trim(part) for part in field.all("p"))
        if part_name and "b" not in before_part:
            part_name = ": ".join((part_name, *(self._trim(part) for part in field.all("b"))))
        volume = " ".join(self._trim(part) for part in field.all("n"))
        set_title = main if part_name or (volume and self.record.leader[19] == "c") else ""
        series_title, series_volume = self._series(is_taken=not set_title)
        return {
            "title": part_name or main,
            "set": set_title or series_title,
            "volume": volume or series_volume,
        }

    def _series(self, *, is_taken: bool) -> tuple[str, str]:
        """Return the first series that is a set, and the volume in it."""
        is_part = self.record.leader[19] in "bc"
        found = ("", "")
        for field in self._all("490"):
            title, volume = self._trim(field.first("a")), self._trim(field.first("v"))
            if is_taken and not found[0] and title and (volume or is_part):
                found = (title, volume)
            elif not volume:
                self._remarks.left_out("490 without a number", field.text)
            else:
                self._remarks.left_out("490 again", field.text)
        return found

    def _contributors(self) -> list[str]:
        names: list[str] = []
        for field in self._all(*NAMES):
            if field.first("t"):
                self._remarks.left_out(f"{field.tag} with $t", field.text)
                continue
            parts = [self._trim(part) if part.endswith(",") else part for part in field.all("abc")]
            name = trimmed_name(" ".join(parts), has_punctuation=self._has_punctuation)
            if ";" in name:
                self._remarks.converted(f"{field.tag} $a", name, RecordNoteKind.NAME_SEPARATOR)
                name = name.replace(";", ",")
            if name and name not in names:
                names.append(name)
        return names

    def _publication(self) -> dict[str, str]:
        """Return publisher, year and country of printing."""
        published = [field for field in self._all("264") if field.indicators[1] == "1"] + list(self._all("260"))
        others = [field for field in self._all("264") if field.indicators[1] != "1"]
        publishers = list(dict.fromkeys(self._trim(name) for field in published for name in field.all("b")))
        countries = [field.first("a") for field in others if field.indicators[1] == "3"]
        country = next((text for text in countries if re.fullmatch("[A-Z]{2}", text)), "")
        self._note_places(published, others, country)
        coded = next((field.data[7:11] for field in self._all("008")), "")
        return {
            "publisher": "; ".join(publishers),
            "year": self._year((*published, *others)) or (coded if year_in(f"{coded}.")[0] == coded else ""),
            "printed_in": country,
        }

    def _year(self, fields: Sequence[MarcField]) -> str:
        """Return the year of the first date that is not one of printing; the other dates are noted."""
        dates = [(f"{field.tag} $c", text, field.indicators[1] == "3") for field in fields for text in field.all("c")]
        taken = next((date for date in dates if not date[2]), None)
        for date in dates:
            if date is not taken:
                self._remarks.left_out(f"{date[0]} besides", date[1])
        if taken is None:
            return ""
        where, text, _ = taken
        year, note = year_in(text)
        if note is not None:
            self._remarks.converted(where, text, note)
        elif not year:
            self._remarks.left_out(where, text)
        return year

    def _note_places(self, published: Sequence[MarcField], others: Sequence[MarcField], country: str) -> None:
        for field in (*published, *others):
            for place in field.all("a"):
                if place != country and field.tag == "264":
                    self._remarks.left_out("264 $a", place)
        for field in others:
            for name in field.all("b"):
                self._remarks.left_out(f"264 _{field.indicators[1]} $b", name)

    def _extent(self) -> dict[str, str]:
        """Return pages, sizes and mass."""
        field = self._field("300")
        extent = extent_in(" ".join(self._trim(part) for part in field.all("a")))
        sizes = sizes_in(" ".join(field.all("c")))
        if extent.is_sum:
            self._remarks.converted("300 $a", field.first("a"), RecordNoteKind.PAGES_ADDED)
        if extent.rest:
            self._remarks.left_out("300 $a besides" if extent.pages else "300 $a", extent.rest)
        if sizes.is_rounded:
            self._remarks.converted("300 $c", field.first("c"), RecordNoteKind.HEIGHT_ROUNDED_UP)
        if sizes.rest:
            self._remarks.left_out("300 $c besides" if sizes.cells else "300 $c", sizes.rest)
        return {"pages": extent.pages, **sizes.cells}

    def _binding(self, number: str) -> str:
        """Return the binding: the note about it, or what the qualifier of the number itself names."""
        note = " ".join(self._field(BINDING_NOTE).all("a"))
        own = (one.qualifier for one in record_numbers(self._fields) if same_isbn(one.text, number))
        qualifiers = list(filter(None, own))
        binding = note or next(filter(None, map(binding_in, qualifiers)), "")
        for text in qualifiers:
            if text.strip(".") != binding:
                self._remarks.left_out("020 $q", text)
        return binding

    def _language(self) -> str:
        codes: list[str] = []
        for field in self._all("041"):
            for text in field.all("a"):
                # Older records run the codes together: "engfre".
                is_run = field.indicators[1] != "7" and len(text) % 3 == 0
                codes += [text[at : at + 3] for at in range(0, len(text), 3)] if is_run else [text]
        coded = next((field.data[35:38] for field in self._all("008")), "")
        if not codes and re.fullmatch("[a-z]{3}", coded) and coded not in ("und", "zxx", "mul"):
            codes.append(coded)
        notes = list(self._all("546"))
        if codes:
            for note in notes:
                self._remarks.left_out("546", note.text)
        return "; ".join(dict.fromkeys(codes)) or (notes[0].first("a") if notes else "")

    def _call_number(self) -> str:
        """Return Dewey's number without its cut marks, else that of the Library of Congress, else another."""
        numbers = [(field, " ".join(field.all("ab"))) for field in self._all("082", "050", "084")]
        for field, text in numbers[1:]:
            self._remarks.left_out(f"{field.tag} besides", text)
        if not numbers:
            return ""
        field, text = numbers[0]
        return text.replace("/", "") if field.tag == "082" else text

    def _subject(self) -> str:
        """Return the heading of no thesaurus, which is how our files write what is shelved together."""
        group = ""
        for field in self._all("650"):
            is_ours = field.indicators[1] == "4" and {code for code, _ in field.subfields} <= {"a"}
            if is_ours and not group:
                group = field.first("a")
            else:
                self._remarks.left_out("650", field.text)
        return group
