"""Rooms, bookcases and shelves, one shelf a row."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from intake.flow.lists.columns import Cells, ListColumn, merged
from intake.flow.lists.lot_plan import LotPlan, SeenLines
from intake.flow.lists.reasons import BadRow, CellError, Facts, RowReason
from intake.model.changes import Change, Provisional
from intake.model.identifiers import OwnKind
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
            raise CellError(RowReason.EMPTY, field=field)
    shelf = Place(
        number="",
        kind=PlaceKind.SHELF,
        name=cells.text("shelf"),
        subject=cells.text("subject"),
        width_mm=cells.length("width_mm"),
        height_mm=cells.length("height_mm"),
        depth_mm=cells.length("depth_mm"),
        above_floor_mm=cells.length("above_floor_mm", or_zero=True),
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


class PlacePlanner:
    """Plans the tree of places that a list of shelves describes; the order of rows is the order of shelves.

    Args:
        places: all places of the library.
        new: gives the keys of new ones.
    """

    def __init__(self, places: Iterable[Place], new: Provisional) -> None:
        self._new = new
        self._tree = {(place.parent, place.kind, place.name): place for place in places}
        self._last: dict[str | None, int] = {}
        for place in self._tree.values():
            self._last[place.parent] = max(self._last.get(place.parent, 0), place.position)
        self._lines = SeenLines()

    def plan(self, rows: Iterable[tuple[int, ShelfRow]]) -> LotPlan:
        """Plan the next rows."""
        lot = LotPlan()
        for line, row in rows:
            changes: list[Change] = []
            room = self._ensure(Place(number="", kind=PlaceKind.ROOM, name=row.room), changes)
            bookcase = self._ensure(replace(row.bookcase, parent=room), changes)
            if (earlier := self._lines.earlier((bookcase, row.shelf.name), line)) is not None:
                facts: Facts = {"shelf": row.shelf.name, "bookcase": row.bookcase.name, "earlier": earlier}
                lot.bad.append(BadRow(line, RowReason.SAME_SHELF, facts))
                continue
            self._ensure(replace(row.shelf, parent=bookcase), changes)
            lot.book(line, f"{row.room}, {row.bookcase.name}, {row.shelf.name}", changes)
        return lot

    def finish(self) -> LotPlan:
        """Plan nothing more."""
        return LotPlan()

    def _ensure(self, place: Place, changes: list[Change]) -> str:
        """Return the number of the place, planning it where it is new or altered."""
        before = self._tree.get((place.parent, place.kind, place.name))
        if before is None:
            self._last[place.parent] = self._last.get(place.parent, 0) + 1
            after = replace(place, number=self._new.number(OwnKind.PLACE), position=self._last[place.parent])
        else:
            after = merged(before, place, keep=("position",))
        if after != before:
            changes.append(Change(before, after))
        self._tree[after.parent, after.kind, after.name] = after
        return after.number
