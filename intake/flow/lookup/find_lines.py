"""Copies and editions found for a person, one line each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.edges.store.queries.copies import box_by_list, copies_at_place, copies_ever_of_editions
from intake.edges.store.queries.why_kept import copies_kept_because
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.found_editions import look_up_parsed
from intake.flow.lookup.identify import match_number
from intake.flow.lookup.resolve import parse_sought
from intake.flow.lookup.wording import edition_words, title_words, where_each_is, written_number
from intake.identifiers.own import serial_of
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection
from intake.model.reasons import Reasons

Pair = tuple[Copy, Edition]


@dataclass(frozen=True, slots=True)
class FoundLine:
    """One copy, or an edition without copies, in words.

    Attributes:
        is_surplus: of a copy in a box: it is on no list.
    """

    number: str
    title: str
    edition: str
    copy: str
    state: str
    where: str
    is_surplus: bool = False


@dataclass(frozen=True, slots=True)
class FoundLines:
    """Lines, the closest match first.

    Attributes:
        more: whether there are more than were asked for.
        why: what was taken for what to find them, or why nothing was found.
    """

    lines: tuple[FoundLine, ...]
    more: bool = False
    why: Reasons = ()


def find_anything(reader: LibraryReader, text: str, limit: int) -> FoundLines:
    """Find copies and editions by number, key or own number, by words of title, contributors or set, and by volume."""
    parsed = parse_sought(reader, text)
    if isinstance(parsed, Identifier) and parsed.kind is NumberKind.OWN:
        lines = lines_of_own(reader, parsed)
        if lines:
            return FoundLines(lines[:limit], len(lines) > limit)
    found = look_up_parsed(reader, text, parsed, limit)
    editions = found.editions
    if isinstance(parsed, Identifier) and parsed.kind is not NumberKind.OWN and editions:
        # Beside an edition without copies, those copies that are of the title's other editions.
        match = match_number(reader, parsed, None)
        editions = tuple(dict.fromkeys((*editions, *(candidate.edition for candidate in match.candidates))))
    lines = _lines_of_editions(reader, editions)
    if isinstance(parsed, Rejection) and (kept := copies_kept_because(reader, text, limit + 1)):
        lines = tuple(dict.fromkeys((*lines, *lines_of_copies(reader, kept))))
    return FoundLines(lines[:limit], found.more or len(lines) > limit, found.why)


def lines_of_copies(reader: LibraryReader, copies: Iterable[Copy]) -> tuple[FoundLine, ...]:
    """List copies."""
    return _lines(reader, _with_editions(reader, copies))


def lines_of_own(reader: LibraryReader, identifier: Identifier) -> tuple[FoundLine, ...]:
    """List the copy that has an own number, or the copies in the box or on the shelf that has it."""
    if identifier.own_kind is OwnKind.PLACE:
        return _lines(reader, copies_at_place(reader, identifier.number))
    if identifier.own_kind is OwnKind.BOX:
        return box_lines(reader, identifier.number)
    copy = reader.get(Copy, identifier.number)
    return _lines(reader, _with_editions(reader, [copy] if copy else []))


def box_lines(reader: LibraryReader, number: str) -> tuple[FoundLine, ...]:
    """List what a box's packing list names, in the order in which it was packed, then what came out of it besides."""
    listed, surplus = (
        sorted(copies, key=lambda copy: serial_of(copy.accession)) for copies in box_by_list(reader, number)
    )
    lines = _lines(reader, _with_editions(reader, [*listed, *surplus]))
    return (*lines[: len(listed)], *(replace(line, is_surplus=True) for line in lines[len(listed) :]))


def _lines_of_editions(reader: LibraryReader, editions: Sequence[Edition]) -> tuple[FoundLine, ...]:
    """List the copies of each edition, or the edition itself where there is none."""
    by_edition: dict[int, list[Copy]] = {edition.id: [] for edition in editions}
    for copy in copies_ever_of_editions(reader, by_edition):
        by_edition[copy.edition_id].append(copy)
    where = where_each_is(reader, (copy for copies in by_edition.values() for copy in copies))
    lines: list[FoundLine] = []
    for edition in editions:
        lines += [_line(edition, copy, where) for copy in by_edition[edition.id]] or [_line_without_copy(edition)]
    return tuple(lines)


def _lines(reader: LibraryReader, pairs: Sequence[Pair]) -> tuple[FoundLine, ...]:
    where = where_each_is(reader, (copy for copy, _ in pairs))
    return tuple(_line(edition, copy, where) for copy, edition in pairs)


def _with_editions(reader: LibraryReader, copies: Iterable[Copy]) -> list[Pair]:
    copies = list(copies)
    editions = reader.get_many(Edition, [copy.edition_id for copy in copies])
    return [(copy, editions[copy.edition_id]) for copy in copies]


def _line(edition: Edition, copy: Copy, where: dict[str, str]) -> FoundLine:
    return FoundLine(
        number=written_number(edition),
        title=title_words(edition),
        edition=edition_words(edition),
        copy=copy.accession,
        state=copy.state.value,
        where=where[copy.accession],
    )


def _line_without_copy(edition: Edition) -> FoundLine:
    words = edition_words(edition)
    return FoundLine(written_number(edition), title_words(edition), words, "", "no copy recorded", "")
