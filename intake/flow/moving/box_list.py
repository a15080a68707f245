"""The list of boxes as a person reads it: filtered by what was typed, grouped by stage or room, a page at a time.

The boxes of a move are a few hundred, and the progress of the whole move is counted from all of them; so the list is
filtered and grouped here, and only the boxes of one page are weighed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.list_filter import ListFilter, read_filter
from intake.flow.moving.box_masses import box_lifts
from intake.flow.moving.lift import BoxLift, caution_words, short_mass_words
from intake.flow.moving.progress import BoxProgress, Progress, progress
from intake.identifiers.own import serial_of
from intake.model.boxes import BoxState
from intake.model.identifiers import OwnKind
from intake.units.paging import first_of_page


class BoxStage(StrEnum):
    """What a person in the room sees of a box, in the order in which it needs hands."""

    BEGUN = "open, being unpacked"
    ARRIVED = "here, still closed"
    AWAITED = "closed, not here yet"
    PACKING = "open, being packed"
    EMPTY = "empty"


class BoxGrouping(StrEnum):
    """What the rows of the list are put together by."""

    STAGE = "stage"
    ROOM = "room"
    NUMBER = "number"


NO_ROOM = "no room named"
_STAGES = tuple(BoxStage)
_OF_STATE = {
    BoxState.OPEN: BoxStage.PACKING,
    BoxState.CLOSED: BoxStage.AWAITED,
    BoxState.ARRIVED: BoxStage.ARRIVED,
    BoxState.UNPACKED: BoxStage.EMPTY,
}


def stage_of(row: BoxProgress) -> BoxStage:
    """Return the stage of a box: one that has arrived is begun once anything came out of it."""
    begun = row.box.state is BoxState.ARRIVED and (row.found or row.surplus)
    return BoxStage.BEGUN if begun else _OF_STATE[row.box.state]


def room_of(row: BoxProgress) -> str:
    """Return the room that a box is meant for, in words."""
    return row.box.room or NO_ROOM


def room_names(rows: Iterable[BoxProgress]) -> list[str]:
    """Return the rooms that boxes are meant for, each once, what is named before what is not."""
    return [name for _, name in sorted({(not row.box.room, room_of(row)) for row in rows})]


@dataclass(frozen=True, slots=True)
class BoxListRequest:
    """Which boxes are asked for; `begin` of the matching ones come before the page of `count`."""

    text: str = ""
    room: str = ""
    stage: BoxStage | None = None
    by: BoxGrouping = BoxGrouping.STAGE
    begin: int = 0
    count: int = 100


@dataclass(frozen=True, slots=True)
class BoxGroup:
    """Rows of one page that belong together.

    Attributes:
        name: of the group; empty where the list is not grouped.
        total: how many of the matching boxes are of it, on this page and others.
    """

    name: str
    rows: tuple[BoxProgress, ...]
    total: int


@dataclass(frozen=True, slots=True)
class BoxList:
    """One page of the list.

    Attributes:
        move: every box.
        matching: how many match; `begin` of them come before this page.
        typed: what the typed text was taken for.
        lifts: what each box of the page weighs and asks of whoever lifts it; none for an empty one.
    """

    move: Progress
    groups: tuple[BoxGroup, ...]
    matching: int
    begin: int
    typed: ListFilter
    lifts: Mapping[str, str]

    @property
    def shown(self) -> int:
        """Return how many rows the page has."""
        return sum(len(group.rows) for group in self.groups)


def box_list(reader: LibraryReader, asked: BoxListRequest) -> BoxList:
    """Return a page of the list of boxes, the last one where it is asked for beyond the end."""
    move = progress(reader)
    typed = read_filter(reader, asked.text, listed=OwnKind.BOX)
    rows = sorted(
        (row for row in move.boxes if _is_asked_for(row, asked, typed)), key=lambda row: _order(row, asked.by)
    )
    begin = first_of_page(asked.begin, len(rows), asked.count)
    page = rows[begin : begin + asked.count]
    full = [row.box for row in page if row.box.state is not BoxState.UNPACKED]
    lifts = {number: _lift_words(lift) for number, lift in box_lifts(reader, full).items()}
    return BoxList(move, _grouped(page, rows, asked.by), len(rows), begin, typed, lifts)


def _lift_words(lift: BoxLift) -> str:
    """Write the mass and the caution; the box's own page says what they rest on."""
    return " · ".join(filter(None, (short_mass_words(lift) or "not weighed", caution_words(lift))))


def _is_asked_for(row: BoxProgress, asked: BoxListRequest, typed: ListFilter) -> bool:
    if asked.room and asked.room != room_of(row):
        return False
    if asked.stage is not None and asked.stage is not stage_of(row):
        return False
    box = row.box
    named = (room_of(row), stage_of(row), box.kind, box.seal, box.consignment or "", box.note)
    return typed.is_empty or box.number in typed.boxes or typed.names(named)


def _order(row: BoxProgress, by: BoxGrouping) -> tuple[int | str, ...]:
    serial = serial_of(row.box.number)
    stage = _STAGES.index(stage_of(row))
    if by is BoxGrouping.ROOM:
        return (not row.box.room, room_of(row), stage, serial)
    return (stage, serial) if by is BoxGrouping.STAGE else (serial,)


def _name(row: BoxProgress, by: BoxGrouping) -> str:
    if by is BoxGrouping.NUMBER:
        return ""
    return stage_of(row).value if by is BoxGrouping.STAGE else room_of(row)


def _grouped(page: Sequence[BoxProgress], rows: Sequence[BoxProgress], by: BoxGrouping) -> tuple[BoxGroup, ...]:
    totals: dict[str, int] = {}
    for row in rows:
        totals[_name(row, by)] = totals.get(_name(row, by), 0) + 1
    groups = groupby(page, key=lambda row: _name(row, by))
    return tuple(BoxGroup(name, tuple(of_group), totals[name]) for name, of_group in groups)
