"""A large move for the tests: 600 boxes with 20,000 copies of invented books, in the middle of being unpacked.

Whatever is in it follows from a number's place in a row, so that a test can count it by hand: nothing is drawn at
random. It is made once for all tests of a process and copied, as every library that tests begin with.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from stdnum import ean

from intake.edges.store.library import Library
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, Record, made
from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.identifiers import OwnKind, own_number
from intake.model.places import Place, PlaceKind
from intake.model.sightings import Query, Sighting

BOXES, COPIES, SETS = 600, 20_000, 400
ROOMS = ("Study", "Sitting room", "Hall", "")
"""Rooms that the boxes are meant for, in turn; every fourth names none."""
UNPACKED_BOXES, BEGUN_BOXES, ARRIVED_BOXES = 200, 20, 180
"""The first boxes are unpacked, the next begun, the next have arrived; the rest are still closed, the last one open."""
CASES, SHELVES_A_CASE, SHELVED = 12, 6, 1_800
MISSING_EVERY = 150
VOLUMES = 5
WORDS = ("coast", "garden", "marsh", "orchard", "moor", "island", "river", "meadow")
BEGUN = datetime(2026, 2, 20, 9, tzinfo=UTC)
DAYS = 9
TWICE = "9789999999991"
"""The number of the queries that wait twice; no edition has it."""


def box_number(nth: int) -> str:
    """Return the number of the box with this serial."""
    return own_number(OwnKind.BOX, nth)


def state_of_box(nth: int) -> BoxState:
    """Return the state of the box with this serial."""
    if nth <= UNPACKED_BOXES:
        return BoxState.UNPACKED
    if nth <= UNPACKED_BOXES + BEGUN_BOXES + ARRIVED_BOXES:
        return BoxState.ARRIVED
    return BoxState.OPEN if nth == BOXES else BoxState.CLOSED


def box_of_copy(nth: int) -> int:
    """Return the serial of the box that lists the copy with this serial."""
    return 1 + (nth - 1) * BOXES // COPIES


def state_of_copy(nth: int) -> CopyState:
    """Return the state of the copy with this serial."""
    box = box_of_copy(nth)
    seen = box <= UNPACKED_BOXES or (box <= UNPACKED_BOXES + BEGUN_BOXES and nth % 2)
    if not seen:
        return CopyState.PACKED
    if box <= UNPACKED_BOXES and nth % MISSING_EVERY == 0:
        return CopyState.MISSING
    return CopyState.SHELVED if nth <= SHELVED else CopyState.UNPACKED


def book_number(nth: int) -> str:
    """Return the number of the edition with this id: 978, nine digits, and the check digit of the EAN."""
    digits = f"978{nth:09d}"
    return digits + ean.calc_check_digit(digits)


def fill(library: Library) -> None:
    """Fill an empty library."""
    boxes = {nth: Box(number=box_number(nth), room=ROOMS[nth % len(ROOMS)]) for nth in range(1, BOXES + 1)}
    packed = list(_copies())
    with library.writing() as work:
        work.apply(Action(ActionKind.IMPORT_PLACES, "shelves.csv"), made(*_places()))
        work.apply(Action(ActionKind.IMPORT_EDITIONS, "catalog.csv"), made(*_sets(), *_editions()))
        work.apply(Action(ActionKind.IMPORT_COPIES, "copies.csv"), made(*boxes.values(), *packed))
        for action, changes in _steps(boxes, packed):
            work.apply(action, changes)
        for nth in range(1, 5):
            number = TWICE if nth < 3 else f"979000000000{nth}"
            at = BEGUN + timedelta(days=DAYS, minutes=nth)
            query = Query(id=nth, at=at, station="hall", reason="not_in_catalog", number=number, box=box_number(201))
            work.apply(Action(ActionKind.QUEUE_QUERY, number, "hall"), made(query))


def _places() -> Iterator[Record]:
    serial = 0
    for nth, name in enumerate(filter(None, ROOMS), 1):
        serial += 1
        room = own_number(OwnKind.PLACE, serial)
        yield Place(number=room, kind=PlaceKind.ROOM, name=name, position=nth)
        for case_nth in range(1, CASES // 3 + 1):
            serial += 1
            case = own_number(OwnKind.PLACE, serial)
            yield Place(number=case, kind=PlaceKind.BOOKCASE, name=f"Wall {case_nth}", parent=room, position=case_nth)
            for shelf_nth in range(1, SHELVES_A_CASE + 1):
                serial += 1
                yield Place(
                    number=own_number(OwnKind.PLACE, serial), kind=PlaceKind.SHELF, name=str(shelf_nth), parent=case,
                    position=shelf_nth, width_mm=1_000.0, height_mm=330.0, depth_mm=280.0,
                )  # fmt: skip


def shelf_numbers() -> list[str]:
    """Return the numbers of the shelves in their order."""
    return [place.number for place in _places() if isinstance(place, Place) and place.kind is PlaceKind.SHELF]


def _sets() -> Iterator[BookSet]:
    for nth in range(1, SETS + 1):
        yield BookSet(
            id=nth, title=f"Invented {WORDS[nth % 8]} in {VOLUMES + 1} parts, series {nth}", volumes=VOLUMES + 1
        )


def _editions() -> Iterator[Edition]:
    """Yield an edition a copy; the first ones are the volumes of sets, each without its last volume."""
    for nth in range(1, COPIES + 1):
        title = f"The invented {WORDS[nth % 8]} {WORDS[nth // 8 % 8]} {WORDS[nth // 64 % 8]} {nth}"
        of_set, volume = divmod(nth - 1, VOLUMES)
        in_set = of_set < SETS
        yield Edition(
            id=nth, title=title, key=f"K{nth}", number=book_number(nth), contributors=(f"Person {nth % 500}",),
            year=1950 + nth % 70, binding="hardcover", pages=240, height_mm=280.0, width_mm=220.0, thickness_mm=25.0,
            mass_g=1_400.0, set_id=of_set + 1 if in_set else None, volume=str(volume + 1) if in_set else "",
        )  # fmt: skip


def _copies() -> Iterator[Copy]:
    for nth in range(1, COPIES + 1):
        yield Copy(
            accession=own_number(OwnKind.COPY, nth),
            edition_id=nth,
            state=CopyState.PACKED,
            box=box_number(box_of_copy(nth)),
        )


def _steps(boxes: dict[int, Box], packed: list[Copy]) -> Iterator[tuple[Action, list[Change]]]:
    """Yield what was done to each box, then what was put on the shelves, each with its changes."""
    of_box: dict[int, list[tuple[int, Copy]]] = {}
    for nth, copy in enumerate(packed, 1):
        of_box.setdefault(box_of_copy(nth), []).append((nth, copy))
    sighting, shelved = 0, []
    for nth, box in boxes.items():
        state = state_of_box(nth)
        delivered = date(2026, 2, 19) if state in (BoxState.ARRIVED, BoxState.UNPACKED) else None
        changes = [Change(box, replace(box, state=state, delivered=delivered))] if state is not BoxState.OPEN else []
        for serial, copy in of_box[nth]:
            stage = state_of_copy(serial)
            if stage is CopyState.PACKED:
                continue
            out = replace(copy, state=CopyState.MISSING if stage is CopyState.MISSING else CopyState.UNPACKED)
            changes.append(Change(copy, out))
            if stage is CopyState.MISSING:
                continue
            sighting += 1
            at = BEGUN + timedelta(days=nth * DAYS // (UNPACKED_BOXES + BEGUN_BOXES + 1), seconds=30 * (sighting % 700))
            changes += made(Sighting(id=sighting, copy=copy.accession, at=at, station="hall", box=box.number))
            if stage is CopyState.SHELVED:
                shelved.append(out)
        if changes:
            kind = ActionKind.CLOSE_BOX if state is BoxState.CLOSED else ActionKind.CHECK_IN_BOX
            yield Action(kind, box.number, "hall"), changes
    rows = (shelved[begin : begin + 25] for begin in range(0, len(shelved), 25))
    for shelf, row in zip(shelf_numbers(), rows, strict=True):
        yield (
            Action(ActionKind.ARRANGE_SHELVES, shelf, "hall"),
            [
                Change(copy, replace(copy, state=CopyState.SHELVED, place=shelf, position=nth))
                for nth, copy in enumerate(row, 1)
            ],
        )
