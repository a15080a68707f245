"""Looking things up for a person: what is where, and what happened to it."""

import re
from dataclasses import dataclass

from intake.edges.store.records import Records
from intake.flow.finding import place_name
from intake.flow.weighing import match_number
from intake.identifiers.own import serial_of
from intake.identifiers.parse import parse
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind
from intake.shelving.sizes import free_mm


@dataclass(frozen=True, slots=True)
class FoundLine:
    """One copy, or an edition without copies, in words."""

    number: str
    title: str
    edition: str
    copy: str
    state: str
    where: str


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One ledger entry, in words."""

    seq: int
    when: str
    station: str
    what: str
    subject: str
    changed: str


def find_anything(records: Records, text: str, limit: int) -> tuple[FoundLine, ...]:
    """Find copies and editions by number, own number, or words of title and contributors."""
    found = parse(text, is_known=records.holds_number)
    if isinstance(found, Identifier) and found.kind is NumberKind.OWN:
        return _own(records, found)
    if isinstance(found, Identifier):
        match = match_number(records, found, None)
        editions = tuple(dict.fromkeys(candidate.edition for candidate in match.candidates))
    else:
        editions = records.find_editions(text, limit)
    lines = [line for edition in editions for line in _lines(records, edition)]
    return tuple(lines[:limit])


def edition_words(edition: Edition) -> str:
    """Write what tells an edition from others of its title: statement, binding, year."""
    year = str(edition.year) if edition.year else ""
    return ", ".join(part for part in (edition.statement, edition.binding, year) if part)


def title_words(edition: Edition) -> str:
    """Write the title with its volume ("Divers and Petrels, vol. 1")."""
    return f"{edition.title}, {volume_words(edition, 'vol.')}" if edition.volume else edition.title


def volume_words(edition: Edition, word: str = "Volume") -> str:
    """Write the volume as its set designates it; a bare number, arabic or roman, is said to be a volume's."""
    bare = re.fullmatch(r"\d+|[IVXLC]+", edition.volume)
    return f"{word} {edition.volume}" if bare else edition.volume


def whole_words(edition: Edition) -> str:
    """Write title, volume and what tells the edition from others, for one line of a screen."""
    words = edition_words(edition)
    return f"{title_words(edition)} ({words})" if words else title_words(edition)


def where_words(records: Records, copy: Copy) -> str:
    """Write where a copy is, as far as is known."""
    place = records.place(copy.place) if copy.place else None
    if place:
        return place_name(records, place)
    return f"box {copy.box}" if copy.box else ""


def written_number(edition: Edition) -> str:
    """Write an edition's number with its hyphens and supplement; empty where it has none."""
    if edition.number is None:
        return ""
    found = parse(edition.number)
    written = found.written if isinstance(found, Identifier) else edition.number
    return f"{written} + {edition.add_on}" if edition.add_on else written


def _own(records: Records, identifier: Identifier) -> tuple[FoundLine, ...]:
    copies: list[Copy] = []
    if identifier.own_kind is OwnKind.COPY:
        copy = records.copy(identifier.number)
        copies = [copy] if copy else []
    elif identifier.own_kind is OwnKind.BOX:
        copies = list(records.copies_in_box(identifier.number))
    elif identifier.own_kind is OwnKind.PLACE:
        copies = [copy for copy, _ in records.standing_at(identifier.number)]
    lines: list[FoundLine] = []
    for copy in copies:
        edition = records.edition(copy.edition_id)
        if edition is not None:
            lines.append(_line(records, edition, copy))
    return tuple(lines)


def _lines(records: Records, edition: Edition) -> list[FoundLine]:
    copies = records.copies_of([edition.id])
    if not copies:
        words = edition_words(edition)
        return [FoundLine(written_number(edition), title_words(edition), words, "", "no copy recorded", "")]
    return [_line(records, edition, copy) for copy in copies]


def _line(records: Records, edition: Edition, copy: Copy) -> FoundLine:
    return FoundLine(
        number=written_number(edition),
        title=title_words(edition),
        edition=edition_words(edition),
        copy=copy.accession,
        state=copy.state.value,
        where=where_words(records, copy),
    )


def history(records: Records, accession: str | None, limit: int) -> tuple[HistoryLine, ...]:
    """Tell the newest entries of the ledger first, or all that touched one copy, oldest first."""
    entries = records.entries(limit) if accession is None else records.ledger("copy", accession)
    lines: list[HistoryLine] = []
    for entry in entries:
        action = entry.action
        changed = "; ".join(
            f"{name}: {change.before.get(name)!r} to {value!r}"
            for change in entry.changes
            if accession in (None, change.key) and change.before is not None and change.after is not None
            for name, value in change.after.items()
            if change.before.get(name) != value
        )
        subject = f"{action.subject} (entry {action.undoes})" if action.undoes else action.subject
        when = entry.at.strftime("%Y-%m-%d %H:%M:%S")
        lines.append(HistoryLine(entry.seq, when, action.station, action.name, subject, changed))
    return tuple(lines)


def box_lines(records: Records, number: str) -> tuple[FoundLine, ...]:
    """List what a box's packing list names, in the order in which it was packed."""
    lines: list[FoundLine] = []
    for copy in sorted(records.copies_in_box(number), key=lambda copy: serial_of(copy.accession)):
        edition = records.edition(copy.edition_id)
        if edition is not None:
            lines.append(_line(records, edition, copy))
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class ShelfLine:
    """One shelf, in words."""

    number: str
    where: str
    subject: str
    copies: int
    free: str


def shelf_lines(records: Records) -> tuple[ShelfLine, ...]:
    """List the shelves in their order, with what stands there and the room that is left."""
    lines: list[ShelfLine] = []
    for shelf in records.shelves():
        standing = records.standing_at(shelf.number)
        free = free_mm(shelf, standing)
        words = "" if free is None else f"{free:.0f} mm"
        lines.append(ShelfLine(shelf.number, place_name(records, shelf), shelf.subject, len(standing), words))
    return tuple(lines)
