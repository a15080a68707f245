"""Bookcases made from a few words, and the person's rule of order.

"five shelves of 800 x 300 x 250 mm" says how many and how large: clear width, height, depth; only the width must be
there. A unit at the end (mm, cm, m, in, ft) holds for the sizes that have none; without any, sizes are millimetres, and
refused where no shelf has them. What else is known (the board, the height of the lowest shelf) is given beside it.
"""

import re
from dataclasses import dataclass, replace

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import own_ordering, places_in, shelf_ordering
from intake.edges.store.reader import LibraryReader
from intake.errors import ChangedMeanwhileError, RefusedError, UsageError
from intake.flow.lists.places import PlacePlanner, ShelfRow
from intake.flow.lists.plausible_sizes import is_possible, is_usual
from intake.model.changes import Action, ActionKind, Change, Provisional, made
from intake.model.places import Place, PlaceKind
from intake.model.shelving import Ordering
from intake.shelving.collation import collator
from intake.shelving.order import parse_keys
from intake.units.quantities import TIMES, parse_length_mm

COUNTS = {
    word: count
    for count, word in enumerate(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"), 1
    )
}
WORDS = re.compile(r"(?P<count>\w+)\s+(?:shelf|shelves|boards?)\s*(?:of|,|:)?\s*(?P<sizes>.+?)\.?")
UNIT = re.compile(r"[^\d.,\s/¼½¾]+\s*$")
BARE = re.compile(r"[\d.,\s/¼½¾]+")
LARGEST = 100
"""Most shelves in one bookcase; more is a typing error."""
BOARD_MM = 18.0


@dataclass(frozen=True, slots=True)
class ShelfRequest:
    """The shelves of one bookcase as a person describes them; lengths in mm."""

    count: int
    width_mm: float
    height_mm: float | None = None
    depth_mm: float | None = None


def parse_shelves(text: str) -> ShelfRequest:
    """Read how many shelves of which size.

    Raises:
        UsageError: the words do not say it, or say a size that no shelf has.

    >>> parse_shelves("five shelves of 80 x 30 cm")
    ShelfRequest(count=5, width_mm=800.0, height_mm=300.0, depth_mm=None)
    """
    remedy = "write it as 'five shelves of 800 x 300 x 250 mm': width, height, depth"
    match = WORDS.fullmatch(" ".join(text.casefold().split()))
    if match is None:
        raise UsageError(f"{text!r}", "does not state how many shelves of which width", remedy, field="shelves")
    word = match["count"]
    count = int(word) if word.isdecimal() else COUNTS.get(word, 0)
    if not 1 <= count <= LARGEST:
        raise UsageError(
            f"{text!r}", f"does not state a number of shelves from 1 to {LARGEST}", remedy, field="shelves"
        )
    sizes = TIMES.split(match["sizes"])
    if not 1 <= len(sizes) <= 3:
        raise UsageError(f"{text!r}", "does not state a width that a shelf can have", remedy, field="shelves")
    last = UNIT.search(sizes[-1])
    unit = last[0] if last else "mm"
    try:
        lengths = [parse_length_mm(f"{size} {unit}" if BARE.fullmatch(size) else size) for size in sizes]
    except UsageError as error:
        why = f"does not state sizes that a shelf can have: {error.thing} {error.why}"
        raise UsageError(f"{text!r}", why, remedy, field="shelves") from error
    has_unit = any(not BARE.fullmatch(size) for size in sizes)
    for field, length in zip(("width_mm", "height_mm", "depth_mm"), lengths, strict=False):
        if not (is_possible if has_unit else is_usual)("places", field, length):
            name = field.removesuffix("_mm")
            why = f"would make a shelf with a {name} of {length:g} mm, which no shelf has"
            cure = "correct it" if has_unit else "add the unit, such as in or cm; without one, sizes are millimetres"
            raise UsageError(f"{text!r}", why, cure, field="shelves")
    return ShelfRequest(count, *lengths)


def make_bookcase(
    library: Library,
    shelves: ShelfRequest,
    *,
    room: str,
    bookcase: Place,
    board: Place,
    lowest_mm: float | None,
    station: str,
) -> tuple[Place, ...]:
    """Make a bookcase with its shelves, numbered from the top.

    Args:
        library: where it is kept.
        shelves: how many shelves, and their clear sizes in mm.
        room: its name; a room of this name is used where there is one.
        bookcase: its name, and its own mass and outside size where known.
        board: what is the same for all shelves: subject, material, thickness, rated load.
        lowest_mm: from the floor to the lowest shelf; with the clear height it gives the heights of all.
        station: who does it.

    Returns:
        The shelves, from the top.

    Raises:
        RefusedError: the room has a bookcase of this name already, or another station changes the rooms meanwhile.
    """
    if not room.strip() or not bookcase.name.strip():
        raise UsageError("A bookcase", "needs a room and a name", "give both")
    rows = []
    for nth in range(shelves.count):
        above = None
        if lowest_mm is not None and shelves.height_mm is not None:
            above = lowest_mm + (shelves.count - 1 - nth) * (shelves.height_mm + (board.board_mm or BOARD_MM))
        sizes = {"width_mm": shelves.width_mm, "height_mm": shelves.height_mm, "depth_mm": shelves.depth_mm}
        shelf = replace(board, name=str(nth + 1), kind=PlaceKind.SHELF, above_floor_mm=above, **sizes)  # type: ignore[arg-type] # all are lengths
        rows.append((nth + 1, ShelfRow(room, bookcase, shelf)))
    with library.reading() as reader:
        rooms, inside = _rooms(reader, room)
    if any(place.name == bookcase.name for place in inside):
        why = f"has a bookcase {bookcase.name} already"
        raise RefusedError(
            f"Room {room}", why, "give the new one another name, or import a list of shelves", field="bookcase"
        )
    changes = PlacePlanner([*rooms, *inside], Provisional()).plan(rows).changes
    with library.writing(station) as writer:
        if _rooms(writer, room) != (rooms, inside):
            why = "was changed meanwhile by another station, so nothing was made"
            raise ChangedMeanwhileError(f"Room {room}", why, "list the places and repeat the step")
        applied = writer.apply(Action(ActionKind.MAKE_BOOKCASE, bookcase.name, station), changes)
    places = (change.after for change in changes if isinstance(change.after, Place))
    return tuple(
        replace(place, number=applied.key(place.number), parent=applied.key(place.parent or ""))
        for place in places
        if place.kind is PlaceKind.SHELF
    )


def _rooms(reader: LibraryReader, name: str) -> tuple[tuple[Place, ...], tuple[Place, ...]]:
    """Return all rooms, and what stands in the one of this name."""
    rooms = places_in(reader, None)
    same = [place for place in rooms if place.kind is PlaceKind.ROOM and place.name == name]
    return tuple(rooms), tuple(place for own in same for place in places_in(reader, own.number))


def set_order(library: Library, keys_text: str, *, language: str = "", station: str) -> Ordering:
    """Keep the person's rule of order.

    Raises:
        UsageError: a key or the language is not known.
    """
    keys = parse_keys(keys_text)
    with library.reading() as reader:
        own = own_ordering(reader)
    rule = replace(own or Ordering(), keys=keys)
    rule = replace(rule, language=language or rule.language)
    collator(rule.language)
    changes = made(rule) if own is None else (Change(own, rule),)
    library.apply(Action(ActionKind.SET_ORDER_OF_SHELVES, ", ".join(keys), station), changes)
    return rule


def rule_of_order(reader: LibraryReader) -> Ordering:
    """Return the person's rule of order; the usual one where none was made."""
    return shelf_ordering(reader)
