"""Rooms, bookcases and shelves, one shelf a row."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from intake.flow.importing.columns import BadRow, CellError, Cells, Column, merged
from intake.model.changes import Change, made
from intake.model.places import Place, PlaceKind

PLACE_COLUMNS = (
    Column("room", (), required=True),
    Column("bookcase", ("case", "unit"), required=True),
    Column("shelf", (), required=True),
    Column("width_mm", ("width", "clear width")),
    Column("height_mm", ("height", "clear height")),
    Column("depth_mm", ("depth",)),
    Column("subject", ("group", "category", "class")),
)


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One shelf, and the names of the room and the bookcase it is in."""

    room: str
    bookcase: str
    shelf: Place


def parse_shelf(cells: Cells) -> ShelfRow:
    """Read one row of a list of shelves.

    Raises:
        CellError: a name is missing, or a size is not one.
    """
    for field in ("room", "bookcase", "shelf"):
        if not cells.text(field):
            raise CellError(f"{field} is empty")
    shelf = Place(
        number="",
        kind=PlaceKind.SHELF,
        name=cells.text("shelf"),
        subject=cells.text("subject"),
        width_mm=cells.length("width_mm"),
        height_mm=cells.length("height_mm"),
        depth_mm=cells.length("depth_mm"),
    )
    return ShelfRow(cells.text("room"), cells.text("bookcase"), shelf)


def plan_places(
    rows: Iterable[tuple[int, ShelfRow]], *, held: Iterable[Place], new_number: Callable[[], str]
) -> tuple[list[Change], list[BadRow], int]:
    """Plan the tree of places that a list of shelves describes; the order of rows is the order of shelves.

    Returns:
        The changes, the rows that name a shelf twice, and the count of rows that change nothing.
    """
    tree = {(place.parent, place.kind, place.name): place for place in held}
    children: dict[str | None, int] = {}
    for place in tree.values():
        children[place.parent] = max(children.get(place.parent, 0), place.position)
    changes: list[Change] = []
    bad: list[BadRow] = []
    lines: dict[tuple[str | None, str], int] = {}
    unchanged = 0

    def ensure(wanted: Place) -> str:
        """Return the number of the place, planning it where it is new or altered."""
        nonlocal unchanged
        before = tree.get((wanted.parent, wanted.kind, wanted.name))
        if before is None:
            children[wanted.parent] = children.get(wanted.parent, 0) + 1
            after = replace(wanted, number=new_number(), position=children[wanted.parent])
            changes.extend(made(after))
        else:
            after = before
            if wanted.kind is PlaceKind.SHELF:
                after = merged(before, wanted, keep=("position",))
                if after == before:
                    unchanged += 1
                else:
                    changes.append(Change(before, after))
        tree[after.parent, after.kind, after.name] = after
        return after.number

    for line, row in rows:
        room = ensure(Place(number="", kind=PlaceKind.ROOM, name=row.room))
        bookcase = ensure(Place(number="", kind=PlaceKind.BOOKCASE, name=row.bookcase, parent=room))
        where = (bookcase, row.shelf.name)
        if where in lines:
            bad.append(BadRow(line, f"names shelf {row.shelf.name} of {row.bookcase} again, after line {lines[where]}"))
            continue
        lines[where] = line
        ensure(replace(row.shelf, parent=bookcase))
    return changes, bad, unchanged
