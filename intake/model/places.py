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
        parent: number of the place that contains it; None for a room.
        subject: the subject group that belongs there; empty for any.
        position: order among its siblings, from the left and from the top, starting at 1.
        width_mm, height_mm, depth_mm: the clear space of a shelf; of a bookcase, its outside.
        above_floor_mm: height of the upper side of the board that the books stand on.
        material: material of the board ("particleboard"; see `intake.shelving.boards`).
        board_mm: thickness of the board.
        span_mm: distance between its supports, where that differs from the clear width.
        rated_g: greatest uniform load that its maker allows.
        mass_g: mass of an empty bookcase.
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
    above_floor_mm: float | None = None
    material: str = ""
    board_mm: float | None = None
    span_mm: float | None = None
    rated_g: float | None = None
    mass_g: float | None = None


@dataclass(frozen=True, slots=True)
class PlacePath:
    """Where a place is in the tree.

    Attributes:
        names: of the room, the bookcase and the shelf, as far down as the place itself is.
    """

    names: tuple[str, ...]

    @property
    def room(self) -> str:
        """The name of the room."""
        return self.names[0]

    @property
    def in_room(self) -> tuple[str, ...]:
        """The names below the room; none for a room itself."""
        return self.names[1:]
