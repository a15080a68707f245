"""What labels on shelves and on jacket covers say, and which of them say something else than when last printed."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import place_paths, printed_labels, shelf_ordering
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import names_joined, volume_words
from intake.flow.shelves.shelf_state import Filing, Shelf, read_shelves
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import BookSet, Copy, Edition
from intake.model.papers import LabelContent, LabelUse
from intake.model.places import Place
from intake.model.shelving import Printed
from intake.shelving.collation import filing_title
from intake.shelving.order import Key

SUBTITLE = re.compile(r"[:(\[]")
CALL_NUMBERS = {Key.DEWEY, Key.CONGRESS}


def shelf_labels(records: LibraryReader, shelves: Sequence[Place]) -> list[LabelContent]:
    """Say what each shelf's label says: where it is, its subject, and the first and last that stand on it."""
    filing = Filing(records)
    titles = {book_set.id: book_set.title for book_set in records.all(BookSet)}
    contents: list[LabelContent] = []
    paths = place_paths(records, [shelf.number for shelf in shelves])
    for shelf in read_shelves(records, shelves):
        path = paths[shelf.place.number]
        contents.append(
            {
                "number": shelf.place.number,
                "shelfmark": shelf.name,
                "room": path.room,
                "place": names_joined(path.in_room),
                "range": range_words(shelf, filing, titles),
            }
        )
    return contents


def range_words(shelf: Shelf, filing: Filing, set_titles: Mapping[int, str]) -> str:
    """Write what stands on a shelf ("Birds: Auks – Terns"); the subject alone on an empty one."""
    ends = [_filed_as(edition, filing, set_titles) for _, edition in (*shelf.standing[:1], *shelf.standing[-1:])]
    ends = list(dict.fromkeys(end for end in ends if end))
    return ": ".join(part for part in (shelf.place.subject, " – ".join(ends)) if part)


def spine_labels(records: LibraryReader, copies: Iterable[Copy]) -> list[LabelContent]:
    """Say what the label on a jacket cover or slipcase says."""
    contents: list[LabelContent] = []
    by_call_number = CALL_NUMBERS & set(shelf_ordering(records).keys)
    for copy in copies:
        edition = records.get(Edition, copy.edition_id)
        if edition is not None:
            mark = edition.call_number if by_call_number and edition.call_number else copy.shelfmark
            contents.append({"number": copy.accession, "shelfmark": mark, "volume": volume_words(edition)})
    return contents


def changed(records: LibraryReader, use: LabelUse, contents: Sequence[LabelContent]) -> list[LabelContent]:
    """Return those that say something else than when last printed, or never were."""
    last = printed_labels(records, (_label(use, content) for content in contents))
    return [content for content in contents if _of(use, content) != last.get(_label(use, content))]


def note_printed(library: Library, use: LabelUse, contents: Sequence[LabelContent], *, station: str) -> None:
    """Remember what was printed."""
    with library.writing() as work:
        last = printed_labels(work, (_label(use, content) for content in contents))
        changes: list[Change] = []
        for now in (_of(use, content) for content in changed(work, use, contents)):
            before = last.get(now.label)
            changes += made(now) if before is None else (Change(before, replace(before, words=now.words)),)
        if changes:
            work.apply(Action(_ACTIONS[use], f"{len(changes)} labels", station), changes)


def _label(use: LabelUse, content: LabelContent) -> str:
    return f"{use} {content['number']}"


def _of(use: LabelUse, content: LabelContent) -> Printed:
    words = "\n".join(f"{key}: {text}" for key, text in sorted(content.items()) if text)
    return Printed(label=_label(use, content), words=words)


def _filed_as(edition: Edition, filing: Filing, set_titles: Mapping[int, str]) -> str:
    """Return the words under which the rule files an edition: call number, author, or title."""
    first = next((key for key in filing.rule.keys if key not in (Key.SUBJECT, Key.SIZE)), Key.TITLE)
    if first in CALL_NUMBERS and edition.call_number:
        return edition.call_number
    if first == Key.AUTHOR and edition.contributors:
        name = edition.contributors[0]
        return name.split(",")[0] if "," in name else name.rpartition(" ")[2]
    whole = filing_title(set_titles.get(edition.set_id or 0, "") or edition.title, edition.language)
    title = SUBTITLE.split(whole, maxsplit=1)[0].strip() or whole
    return f"{title} {edition.volume}".strip() if edition.set_id is not None else title


_ACTIONS = {
    LabelUse.SHELF: ActionKind.PRINT_SHELF_LABELS,
    LabelUse.FLAG: ActionKind.PRINT_FLAG_LABELS,
    LabelUse.BOX: ActionKind.PRINT_BOX_LABELS,
    LabelUse.SPINE: ActionKind.PRINT_SPINE_LABELS,
}
