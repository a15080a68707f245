"""One search for everything: a number, an own number, words of a title, a person, a set, a place, a room."""

from dataclasses import dataclass
from functools import partial

from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import editions_by_number, editions_of_set, find_editions, holds_number
from intake.edges.store.queries.shelves import place_path, place_paths
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.find_lines import FoundLine, find_anything
from intake.flow.lookup.wording import edition_words, path_words, title_words, written_number
from intake.identifiers.parse import parse
from intake.model.boxes import Box
from intake.model.editions import BookSet, Copy, Edition, title_key
from intake.model.identifiers import Identifier, NumberKind
from intake.model.places import Place

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
    """What a search found, by kind of thing; empty where a kind holds nothing."""

    editions: tuple[EditionLine, ...] = ()
    copies: tuple[FoundLine, ...] = ()
    boxes: tuple[Box, ...] = ()
    places: tuple[tuple[str, str], ...] = ()
    sets: tuple[BookSet, ...] = ()

    @property
    def nothing(self) -> bool:
        """Tell whether nothing was found."""
        return not (self.editions or self.copies or self.boxes or self.places or self.sets)


def search(records: LibraryReader, text: str, limit: int = MOST) -> SearchResult:
    """Search the library for what a person typed."""
    if not text.strip():
        return SearchResult()
    found = parse(text, is_known=partial(holds_number, records))
    if isinstance(found, Identifier) and found.kind is NumberKind.OWN:
        box = records.get(Box, found.number)
        place = records.get(Place, found.number)
        return SearchResult(
            copies=find_anything(records, text, limit),
            boxes=(box,) if box else (),
            places=((place.number, path_words(place_path(records, place))),) if place else (),
        )
    if isinstance(found, Identifier):
        return SearchResult(editions=edition_lines(records, editions_by_number(records, found.number, found.add_on)))
    key = title_key(text)
    sets = tuple(held for held in records.all(BookSet) if key and key in title_key(held.title))[:limit]
    of_sets = [edition for held in sets for edition in editions_of_set(records, held.id)]
    editions = dict.fromkeys((*find_editions(records, text, limit), *of_sets))
    named = ((number, path_words(path)) for number, path in place_paths(records).items())
    return SearchResult(
        editions=edition_lines(records, tuple(editions)[:limit]),
        boxes=tuple(box for box in list_boxes(records) if key and key == title_key(box.room))[:limit],
        places=tuple((number, name) for number, name in named if key and key in title_key(name))[:limit],
        sets=sets,
    )


def edition_lines(records: LibraryReader, editions: tuple[Edition, ...]) -> tuple[EditionLine, ...]:
    """Write editions in words, each with its copies."""
    by_edition: dict[int, list[Copy]] = {}
    for copy in copies_of_editions(records, [edition.id for edition in editions]):
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
