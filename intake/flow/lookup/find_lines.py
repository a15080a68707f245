"""Copies and editions found for a person, one line each."""

from dataclasses import dataclass
from functools import partial

from intake.edges.store.queries.copies import copies_at_place, copies_in_box, copies_of_editions
from intake.edges.store.queries.editions import find_editions, holds_number
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.identify import match_number
from intake.flow.lookup.wording import edition_words, title_words, where_words, written_number
from intake.identifiers.own import serial_of
from intake.identifiers.parse import parse
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind


@dataclass(frozen=True, slots=True)
class FoundLine:
    """One copy, or an edition without copies, in words."""

    number: str
    title: str
    edition: str
    copy: str
    state: str
    where: str


def find_anything(records: LibraryReader, text: str, limit: int) -> tuple[FoundLine, ...]:
    """Find copies and editions by number, own number, or words of title and contributors."""
    found = parse(text, is_known=partial(holds_number, records))
    if isinstance(found, Identifier) and found.kind is NumberKind.OWN:
        return _own(records, found)
    if isinstance(found, Identifier):
        match = match_number(records, found, None)
        editions = tuple(dict.fromkeys(candidate.edition for candidate in match.candidates))
    else:
        editions = find_editions(records, text, limit)
    lines = [line for edition in editions for line in _lines(records, edition)]
    return tuple(lines[:limit])


def _own(records: LibraryReader, identifier: Identifier) -> tuple[FoundLine, ...]:
    copies: list[Copy] = []
    if identifier.own_kind is OwnKind.COPY:
        copy = records.get(Copy, identifier.number)
        copies = [copy] if copy else []
    elif identifier.own_kind is OwnKind.BOX:
        copies = list(copies_in_box(records, identifier.number))
    elif identifier.own_kind is OwnKind.PLACE:
        copies = [copy for copy, _ in copies_at_place(records, identifier.number)]
    lines: list[FoundLine] = []
    for copy in copies:
        edition = records.get(Edition, copy.edition_id)
        if edition is not None:
            lines.append(_line(records, edition, copy))
    return tuple(lines)


def _lines(records: LibraryReader, edition: Edition) -> list[FoundLine]:
    copies = copies_of_editions(records, [edition.id])
    if not copies:
        words = edition_words(edition)
        return [FoundLine(written_number(edition), title_words(edition), words, "", "no copy recorded", "")]
    return [_line(records, edition, copy) for copy in copies]


def _line(records: LibraryReader, edition: Edition, copy: Copy) -> FoundLine:
    return FoundLine(
        number=written_number(edition),
        title=title_words(edition),
        edition=edition_words(edition),
        copy=copy.accession,
        state=copy.state.value,
        where=where_words(records, copy),
    )


def box_lines(records: LibraryReader, number: str) -> tuple[FoundLine, ...]:
    """List what a box's packing list names, in the order in which it was packed."""
    lines: list[FoundLine] = []
    for copy in sorted(copies_in_box(records, number), key=lambda copy: serial_of(copy.accession)):
        edition = records.get(Edition, copy.edition_id)
        if edition is not None:
            lines.append(_line(records, edition, copy))
    return tuple(lines)
