"""Rooms, bookcases and shelves, one shelf a row."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from intake.flow.lists.columns import BadRow, CellError, Cells, ListColumn, merged
from intake.model.changes import Change, made
from intake.model.places import Place, PlaceKind
from intake.units.convert import G_PER_KG

PLACE_COLUMNS = (
    ListColumn("room", (), required=True),
    ListColumn("bookcase", ("case", "unit"), required=True),
    ListColumn("shelf", (), required=True),
    ListColumn("width_mm", ("width", "clear width")),
    ListColumn("height_mm", ("height", "clear height")),
    ListColumn("depth_mm", ("depth",)),
    ListColumn("subject", ("group", "category", "class")),
    ListColumn("above_floor_mm", ("above floor", "height above floor")),
    ListColumn("material", ("board material",)),
    ListColumn("board_mm", ("board", "board thickness")),
    ListColumn("span_mm", ("span",)),
    ListColumn("rated_kg", ("rated load", "load limit")),
    ListColumn("bookcase_width_mm", ("outer width",)),
    ListColumn("bookcase_depth_mm", ("outer depth",)),
    ListColumn("bookcase_mass_kg", ("empty mass", "own mass")),
)


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One shelf, the bookcase it is in, and the name of the room."""

    room: str
    bookcase: Place
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
        above_floor_mm=cells.length("above_floor_mm"),
        material=cells.text("material"),
        board_mm=cells.length("board_mm"),
        span_mm=cells.length("span_mm"),
        rated_g=_grams(cells, "rated_kg"),
    )
    bookcase = Place(
        number="",
        kind=PlaceKind.BOOKCASE,
        name=cells.text("bookcase"),
        width_mm=cells.length("bookcase_width_mm"),
        depth_mm=cells.length("bookcase_depth_mm"),
        mass_g=_grams(cells, "bookcase_mass_kg"),
    )
    return ShelfRow(cells.text("room"), bookcase, shelf)


def _grams(cells: Cells, field: str) -> float | None:
    mass_kg = cells.length(field)
    return None if mass_kg is None else mass_kg * G_PER_KG


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
            after = merged(before, wanted, keep=("position",))
            if after != before:
                changes.append(Change(before, after))
            elif wanted.kind is PlaceKind.SHELF:
                unchanged += 1
        tree[after.parent, after.kind, after.name] = after
        return after.number

    for line, row in rows:
        room = ensure(Place(number="", kind=PlaceKind.ROOM, name=row.room))
        bookcase = ensure(replace(row.bookcase, parent=room))
        where = (bookcase, row.shelf.name)
        if where in lines:
            again = f"names shelf {row.shelf.name} of {row.bookcase.name} again, after line {lines[where]}"
            bad.append(BadRow(line, again))
            continue
        lines[where] = line
        ensure(replace(row.shelf, parent=bookcase))
    return changes, bad, unchanged
