"""Search by name: sets, places, and the rooms that boxes are destined for."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Text, cast, literal, null, select, union_all

from intake.edges.store.fetching import fetch
from intake.edges.store.queries.shelves import paths_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box
from intake.model.editions import BookSet
from intake.model.folding import as_typed, fold, search_words, word_forms
from intake.model.places import Place, PlacePath

_SET, _PLACE, _BOX = TABLES[BookSet].c, TABLES[Place].c, TABLES[Box].c


@dataclass(frozen=True, slots=True)
class NamedThings:
    """The sets with these words in their titles, the places with them in their paths, and rooms of that name.

    Attributes:
        rooms: as written on boxes.
    """

    sets: tuple[BookSet, ...] = ()
    places: tuple[tuple[str, PlacePath], ...] = ()
    rooms: tuple[str, ...] = ()


def things_named(reader: LibraryReader, words: str) -> NamedThings:
    """Return the sets, places and rooms with these words in their names; one statement.

    Names are folded (`intake.model.folding`), which no database does; there are far fewer of them than copies.
    """
    typed, key = word_forms(words.encode(errors="ignore").decode()), fold(words)
    if not typed:
        return NamedThings()
    sets = select(literal("set"), cast(_SET.id, Text), _SET.title, cast(_SET.volumes, Text))
    places = select(literal("place"), _PLACE.number, _PLACE.name, _PLACE.parent)
    rooms = select(literal("room"), null(), _BOX.room, null()).distinct()
    by_kind: dict[str, list[tuple[str, str, str | None]]] = {"set": [], "place": [], "room": []}
    for kind, own, name, more in reader.connection.execute(union_all(sets, places, rooms)):
        by_kind[kind].append((own, name, more))
    paths = paths_of(by_kind["place"])
    return NamedThings(
        sets=tuple(
            BookSet(id=int(own), title=title, volumes=None if volumes is None else int(volumes))
            for own, title, volumes in by_kind["set"]
            if _has(title, typed)
        ),
        places=tuple((number, path) for number, path in paths.items() if _has(" ".join(path.names), typed)),
        rooms=tuple(room for _, room, _ in by_kind["room"] if key == fold(room)),
    )


def _has(name: str, typed: Sequence[tuple[str, ...]]) -> bool:
    """Return whether each typed word, in any of its forms, begins a word of a name."""
    words = f" {search_words([name])}"
    return all(any(f" {form}" in words for form in as_typed(forms)) for forms in typed)


def boxes_meant_for(reader: LibraryReader, rooms: tuple[str, ...], limit: int) -> tuple[str, ...]:
    """Return the numbers of the first boxes that are meant for any of these rooms."""
    statement = select(_BOX.number).where(_BOX.room.in_(rooms)).order_by(_BOX.number).limit(limit)
    return tuple(reader.connection.scalars(statement))


def set_of_title(reader: LibraryReader, title: str) -> BookSet | None:
    """Return the set that has this very title, the first recorded where several have."""
    return next(iter(fetch(reader.connection, BookSet, _SET.title == title)), None)
