"""The place of a copy on its shelf: as a drawing for a page of HTML, and in words for those who cannot see it."""

from dataclasses import dataclass

from intake.documents.shelf_strips import lay_out_strip
from intake.edges import svg
from intake.flow.shelves.find_room import Room
from intake.model.shelving import DrawnShelf


@dataclass(frozen=True, slots=True)
class ShelfPlace:
    """The place of a copy in the row of a shelf.

    Attributes:
        nth, of: its place from the left, from 1 on, among how many books.
        after, before: the names of the books beside it; empty at an end.
    """

    nth: int
    of: int
    after: str
    before: str


def shelf_place(room: Room) -> ShelfPlace | None:
    """Return the place that a copy gets; None where it gets none. Kept room counts as no book."""
    if room.at is None:
        return None
    left = [book.name for book in room.row[: room.at] if book.copy]
    right = [book.name for book in room.row[room.at + 1 :] if book.copy]
    after, before = left[-1] if left else "", right[0] if right else ""
    return ShelfPlace(len(left) + 1, len(left) + 1 + len(right), after, before)


def place_line(place: ShelfPlace) -> str:
    """Write a place in a row.

    >>> place_line(ShelfPlace(3, 9, "Owls", "Terns")), place_line(ShelfPlace(1, 1, "", ""))
    ("book 3 of 9 from the left, between 'Owls' and 'Terns'", 'the first book that is recorded there')
    """
    if place.of == 1:
        return "the first book that is recorded there"
    if place.after and place.before:
        beside = f"between '{place.after}' and '{place.before}'"
    else:
        beside = f"after '{place.after}'" if place.after else f"before '{place.before}'"
    return f"book {place.nth} of {place.of} from the left, {beside}"


def place_svg(room: Room) -> str:
    """Return the drawing of the shelf that a copy goes to, with its place marked; empty where it goes nowhere."""
    place = shelf_place(room)
    if place is None or room.at is None or room.shelf is None or room.shelf.space is None:
        return ""
    page = lay_out_strip(DrawnShelf(space=room.shelf.space, books=room.row), room.at)
    return svg.draw(page, title=f"{room.shelf.name}: {place_line(place)}")
