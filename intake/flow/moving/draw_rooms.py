"""The rooms of a move with their boxes stacked by stage, as drawings and in words."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from intake.documents.room_maps import lay_out_room
from intake.edges import fonts, svg
from intake.flow.moving.box_list import BoxStage, room_of, stage_of
from intake.flow.moving.progress import BoxProgress
from intake.model.move_drawings import CartonLook, CartonStack, DrawnRoom
from intake.units.counts import counted

LOOKS = {
    BoxStage.BEGUN: CartonLook.FLAPS_UP,
    BoxStage.ARRIVED: CartonLook.TAPED,
    BoxStage.AWAITED: CartonLook.SHADED,
    BoxStage.PACKING: CartonLook.FLAPS_UP,
    BoxStage.EMPTY: CartonLook.OUTLINE,
}
MOST_DRAWN = 30
"""Cartons drawn in a stack; of more, one carton stands for several."""
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
NOT_TO_SCALE = "Not to scale: how the rooms lie, and how large they are, is not recorded."


@dataclass(frozen=True, slots=True)
class RoomOnMap:
    """A room: its drawing as SVG, and the count of its boxes by stage."""

    name: str
    drawing: str
    counts: tuple[tuple[BoxStage, int], ...]


@dataclass(frozen=True, slots=True)
class RoomMap:
    """Every room that boxes are meant for, and what one drawn carton stands for, in words."""

    rooms: tuple[RoomOnMap, ...]
    scale: str


def room_map(boxes: Iterable[BoxProgress]) -> RoomMap:
    """Draw the rooms that boxes are meant for, those that name none last."""
    of_room: dict[tuple[bool, str], Counter[BoxStage]] = {}
    for row in boxes:
        of_room.setdefault((not row.box.room, room_of(row)), Counter())[stage_of(row)] += 1
    most = max((count for counts in of_room.values() for count in counts.values()), default=0)
    each = next(step for step in _STEPS if most <= step * MOST_DRAWN)
    stands_for = "One carton is one box" if each == 1 else f"One carton stands for up to {each} boxes"
    rooms = tuple(_room(key[1], of_room[key], each) for key in sorted(of_room))
    return RoomMap(rooms, f"{stands_for}. {NOT_TO_SCALE}")


def stage_words(stage: BoxStage, count: int) -> str:
    """Write how many boxes are at a stage ("3 boxes: closed, not here yet")."""
    return f"{counted(count, 'box', 'boxes')}: {stage}"


def _room(name: str, counts: Counter[BoxStage], each: int) -> RoomOnMap:
    stages = tuple((stage, counts[stage]) for stage in BoxStage if counts[stage])
    stacks = tuple(CartonStack(LOOKS[stage], count, stage_words(stage, count)) for stage, count in stages)
    page = lay_out_room(DrawnRoom(name, stacks, each), measure=fonts.measure)
    told = "; ".join(stack.words for stack in stacks)
    return RoomOnMap(name, svg.draw(page, title=f"{name}. {told}."), stages)
