"""The tree of places: rooms, bookcases in them, shelves in those."""

from dataclasses import dataclass
from enum import StrEnum


class PlaceKind(StrEnum):
    """The three levels of the tree."""

    ROOM = "room"
    BOOKCASE = "bookcase"
    SHELF = "shelf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A node of the tree of places.

    Attributes:
        number: its own number, checked (see `intake.identifiers.own`).
        parent: number of the place it is in; None for a room.
        subject: the subject group that belongs there; empty where anything may stand.
        position: order among its siblings, from the left and from the top, starting at 1.
        width_mm, height_mm, depth_mm: the clear space of a shelf.
    """

    number: str
    kind: PlaceKind
    name: str
    parent: str | None = None
    subject: str = ""
    position: int = 1
    width_mm: float | None = None
    height_mm: float | None = None
    depth_mm: float | None = None
