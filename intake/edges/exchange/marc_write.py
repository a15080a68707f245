"""A MARC 21 record of an edition: what `marc_editions` and `marc_items` read again.

Every text stands in its field as it is, without the marks of ISBD (leader, position 18: c), in the script of the book
(the form of multiscript records that needs no field 880). What MARC has no field for is noted, never forced into one.
"""

import re
from collections.abc import Iterator
from datetime import date

from stdnum import issn

from intake.edges.exchange.marc_fields import MarcField, MarcRecord, Subfield
from intake.edges.exchange.marc_holdings import COLLECTS, CONTENTS
from intake.edges.exchange.marc_items import item_fields
from intake.edges.exchange.marc_text import size_text
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

MOST_SKIPPED = 9
"""The second indicator of 245 is one digit."""
LANGUAGES = re.compile("[a-z]{3}(?:; [a-z]{3})*")


def marc_record(outgoing: OutgoingEdition, entered: date, remarks: Remarks) -> MarcRecord:
    """Return the record of an edition and its copies.

    Args:
        outgoing: the edition.
        entered: the day that field 008 states.
        remarks: what has no field is noted here.
    """
    edition = outgoing.edition
    fields = [
        MarcField("001", data=record_name(edition)),
        MarcField("008", data=_fixed_data(edition, entered)),
        *_number_fields(edition),
        *_coded_fields(edition),
        *_described(outgoing),
        *(field for copy in outgoing.copies for field in item_fields(copy)),
    ]
    if edition.hs_heading:
        remarks.left_out("hs_heading", edition.hs_heading)
    note_private(edition, remarks)
    level = "b" if outgoing.set_title else " "
    return MarcRecord(f"     nam a22     uc{level}4500", [_writable(field, remarks) for field in fields])


def _writable(field: MarcField, remarks: Remarks) -> MarcField:
    subfields = [(code, writable(text, remarks)) for code, text in field.subfields]
    return field._replace(subfields=subfields, data=writable(field.data, remarks))


def _fixed_data(edition: Edition, entered: date) -> str:
    """Return field 008: 40 positions, of which those that are not known are filled."""
    is_dated = edition.year is not None and 0 < edition.year <= 9999
    dates = f"s{edition.year:04d}    " if is_dated else "nuuuuuuuu"
    language = edition.language[:3] if LANGUAGES.fullmatch(edition.language) else "|||"
    return f"{entered:%y%m%d}{dates}xx {'|' * 17}{language}||"


def _number_fields(edition: Edition) -> Iterator[MarcField]:
    number = edition.number
    if number is None:
        return
    kind = kind_of_ean(number)
    if kind is NumberKind.ISBN:
        yield MarcField("020", "  ", [("a", number)])
        if edition.add_on is None:
            return
    elif kind is NumberKind.ISSN:
        seven = number[3:10]
        yield MarcField("022", "  ", [("a", f"{seven[:4]}-{seven[4:]}{issn.calc_check_digit(seven)}")])
    add_on: list[Subfield] = [("d", edition.add_on)] if edition.add_on else []
    yield MarcField("024", "2 " if kind is NumberKind.ISMN else "3 ", [("a", number), *add_on])


def _coded_fields(edition: Edition) -> Iterator[MarcField]:
    if LANGUAGES.fullmatch(edition.language):
        yield MarcField("041", "  ", [("a", code) for code in edition.language.split("; ")])
    if edition.call_number:
        yield _call_number(edition.call_number)


def _call_number(text: str) -> MarcField:
    if DEWEY.fullmatch(text):
        return MarcField("082", "04", [("a", text)])
    if LIBRARY_OF_CONGRESS.fullmatch(text):
        return MarcField("050", " 4", [("a", text)])
    return MarcField("084", "  ", [("a", text), ("2", "z")])


def _described(outgoing: OutgoingEdition) -> Iterator[MarcField]:
    """Yield the fields of what stands on and in the book, by their tags."""
    edition, set_title = outgoing.edition, outgoing.set_title
    names = [
        MarcField(tag, f"{'1' if ',' in name else '0'} ", [("a", name)])
        for tag, name in zip(("100", *("700",) * len(edition.contributors)), edition.contributors, strict=False)
    ]
    yield from names[:1]
    volume: list[Subfield] = [("n", edition.volume)] if edition.volume and not set_title else []
    skip = outgoing.skip if outgoing.skip <= MOST_SKIPPED else 0
    yield MarcField("245", f"{'1' if names else '0'}{skip}", [("a", edition.title), *volume])
    year = "" if edition.year is None else str(edition.year)
    size = size_text(edition.height_mm, edition.width_mm, edition.thickness_mm, edition.mass_g)
    pages = "" if edition.pages is None else f"{edition.pages} pages"
    simple: tuple[tuple[str, str, tuple[Subfield, ...]], ...] = (
        ("250", "  ", (("a", edition.statement),)),
        ("264", " 1", (("b", edition.publisher), ("c", year))),
        ("264", " 3", (("a", edition.printed_in),)),
        ("300", "  ", (("a", pages), ("c", size))),
        (CONTENTS, "8 ", (("a", edition.collects and COLLECTS + edition.collects),)),
        ("490", "0 ", (("a", set_title), ("v", edition.volume)) if set_title else ()),
        ("546", "  ", (("a", "" if LANGUAGES.fullmatch(edition.language) else edition.language),)),
        ("563", "  ", (("a", edition.binding),)),
        ("650", " 4", (("a", edition.subject),)),
    )
    for tag, indicators, subfields in simple:
        if filled := [(code, text) for code, text in subfields if text]:
            yield MarcField(tag, indicators, filled)
    yield from names[1:]
