"""What a person means by what they type: a copy, a box, a place, an edition.

Own numbers are checked by their check digits; a bare serial ("box 7") is taken where only one kind of
thing can be meant.
"""

from collections.abc import Callable
from functools import partial

from intake.edges.store.queries.editions import edition_by_key, editions_by_number, holds_number
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LibraryWriter
from intake.errors import RefusedError
from intake.identifiers import own
from intake.identifiers.parse import parse
from intake.identifiers.repairs import never
from intake.model.boxes import Box
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection
from intake.model.places import Place, PlaceKind


def own_number(text: str, kind: OwnKind, is_known: Callable[[str], bool] = never) -> str:
    """Return the canonical own number that the text means, whether or not anything carries it.

    Args:
        text: as typed or scanned.
        kind: what is asked for.
        is_known: tells what the library has given out, where digits alone could mean two numbers.

    Raises:
        RefusedError: the text is no number of this kind, or its check digits are wrong.
    """
    found = own.read(text, expect=kind, is_known=is_known)
    if isinstance(found, Rejection):
        name = _NAMES[kind]
        raise RefusedError(f"{name.capitalize()} {text!r}", f"is no {name} number: {found.reason}", "read it again")
    return found.number


def new_number(work: LibraryWriter, kind: OwnKind) -> str:
    """Return the next own number that nothing carries; a person may have given some themselves."""
    record: dict[OwnKind, type[Copy | Box | Place]] = {OwnKind.COPY: Copy, OwnKind.BOX: Box, OwnKind.PLACE: Place}
    number = own.make(kind, work.new_serial(kind))
    while work.get(record[kind], number) is not None:
        number = own.make(kind, work.new_serial(kind))
    return number


def find_box(records: LibraryReader, text: str) -> Box:
    """Return the box.

    Raises:
        RefusedError: there is no such box.
    """
    number = own_number(text, OwnKind.BOX, partial(holds_number, records))
    box = records.get(Box, number)
    if box is None:
        raise RefusedError(f"Box {number}", "is not in this library", "list the boxes with 'intake box list'")
    return box


def find_copy(records: LibraryReader, text: str) -> Copy:
    """Return the copy.

    Raises:
        RefusedError: there is no such copy.
    """
    number = own_number(text, OwnKind.COPY, partial(holds_number, records))
    copy = records.get(Copy, number)
    if copy is None:
        raise RefusedError(f"Copy {number}", "is not in this library", "look for it with 'intake find'")
    return copy


def find_shelf(records: LibraryReader, text: str) -> Place:
    """Return the shelf.

    Raises:
        RefusedError: there is no such place, or it is a room or a bookcase.
    """
    number = own_number(text, OwnKind.PLACE, partial(holds_number, records))
    place = records.get(Place, number)
    if place is None:
        raise RefusedError(f"Place {number}", "is not in this library", "list the places with 'intake place list'")
    if place.kind is not PlaceKind.SHELF:
        raise RefusedError(f"Place {number}", f"is a {place.kind}, not a shelf", "name one of the shelves in it")
    return place


def find_edition(records: LibraryReader, text: str) -> Edition:
    """Return the edition that a key of the person's own list, or a number with or without its supplement, names.

    Raises:
        RefusedError: no edition, or more than one, carries it.
    """
    by_key = edition_by_key(records, text)
    if by_key is not None:
        return by_key
    found = parse(text, is_known=partial(holds_number, records))
    if isinstance(found, Rejection):
        raise RefusedError(f"Edition {text!r}", f"is no key of the catalog and no number: {found.reason}", "correct it")
    editions = editions_by_number(records, found.number, found.add_on)
    if not editions:
        raise RefusedError(f"Edition {found.written}", "is not in the catalog", "import it first")
    if len(editions) > 1:
        keys = ", ".join(edition.key or edition.title for edition in editions)
        raise RefusedError(f"Edition {found.written}", f"means {len(editions)} editions ({keys})", "name it by its key")
    return editions[0]


def is_own(identifier: Identifier) -> bool:
    """Tell whether a number is one of the tool's own."""
    return identifier.kind is NumberKind.OWN


_NAMES = {OwnKind.COPY: "copy", OwnKind.BOX: "box", OwnKind.PLACE: "place"}
