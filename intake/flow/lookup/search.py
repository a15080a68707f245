"""One search for everything: a number, an own number, words of a title, a person, a set, a place, a room."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.names import boxes_meant_for, things_named
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.why_kept import copies_kept_because
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.find_lines import FoundLine, lines_of_copies, lines_of_own
from intake.flow.lookup.found_editions import look_up_parsed
from intake.flow.lookup.resolve import parse_sought
from intake.flow.lookup.wording import edition_words, path_words, title_words, written_number
from intake.model.boxes import Box
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection
from intake.model.reasons import Reasons

MOST = 50


@dataclass(frozen=True, slots=True)
class EditionLine:
    """An edition in words, with its copies."""

    edition: Edition
    title: str
    words: str
    number: str
    copies: tuple[Copy, ...]


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The result of a search, by kind; empty where nothing of a kind matches.

    Attributes:
        boxes: their numbers.
        places: the number of each and its name from the room down.
        sets: their titles.
        more: whether there is more of a kind than the `limit` first that are listed.
        why: what was taken for what to find the editions, or why the text is no number.
    """

    editions: tuple[EditionLine, ...] = ()
    copies: tuple[FoundLine, ...] = ()
    boxes: tuple[str, ...] = ()
    places: tuple[tuple[str, str], ...] = ()
    sets: tuple[str, ...] = ()
    more: bool = False
    why: Reasons = ()

    @property
    def nothing(self) -> bool:
        """Return whether nothing was found."""
        return not (self.editions or self.copies or self.boxes or self.places or self.sets)


def search(reader: LibraryReader, text: str, limit: int = MOST) -> SearchResult:
    """Search the library for what a person typed; of each kind of thing, the first `limit`."""
    if not text.strip():
        return SearchResult()
    parsed = parse_sought(reader, text)
    if isinstance(parsed, Identifier) and parsed.kind is NumberKind.OWN:
        return _search_own(reader, parsed)
    if isinstance(parsed, Identifier):
        found = look_up_parsed(reader, text, parsed, limit)
        return SearchResult(editions=edition_lines(reader, found.editions), more=found.more, why=found.why)
    return _search_words(reader, text, parsed, limit)


def _search_own(reader: LibraryReader, identifier: Identifier) -> SearchResult:
    box = reader.get(Box, identifier.number) if identifier.own_kind is OwnKind.BOX else None
    paths = place_paths(reader, [identifier.number]) if identifier.own_kind is OwnKind.PLACE else {}
    return SearchResult(
        copies=lines_of_own(reader, identifier),
        boxes=(box.number,) if box else (),
        places=tuple((number, path_words(path)) for number, path in paths.items()),
    )


def _search_words(reader: LibraryReader, text: str, parsed: Rejection, limit: int) -> SearchResult:
    named = things_named(reader, text)
    sets = named.sets[:limit]
    found = look_up_parsed(reader, text, parsed, limit)
    boxes = boxes_meant_for(reader, named.rooms, limit + 1) if named.rooms else ()
    kept = copies_kept_because(reader, text, limit + 1)
    return SearchResult(
        editions=edition_lines(reader, found.editions),
        copies=lines_of_copies(reader, kept[:limit]) if kept else (),
        boxes=boxes[:limit],
        places=tuple((number, path_words(path)) for number, path in named.places[:limit]),
        sets=tuple(book_set.title for book_set in sets),
        more=found.more or any(len(things) > limit for things in (boxes, named.places, named.sets, kept)),
        why=found.why,
    )


def edition_lines(reader: LibraryReader, editions: Sequence[Edition]) -> tuple[EditionLine, ...]:
    """Write editions in words, each with its copies."""
    by_edition: dict[int, list[Copy]] = {}
    for copy in copies_ever_of_editions(reader, [edition.id for edition in editions]):
        by_edition.setdefault(copy.edition_id, []).append(copy)
    return tuple(
        EditionLine(
            edition=edition,
            title=title_words(edition),
            words=edition_words(edition),
            number=written_number(edition),
            copies=tuple(by_edition.get(edition.id, ())),
        )
        for edition in editions
    )
