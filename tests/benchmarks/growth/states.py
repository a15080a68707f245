"""Bring a freshly imported library to the middle of the work: half unpacked and shelved, the rest under way.

Run by the interpreter of the program that is measured (`python -P states.py FOLDER`), as no command does this for a
hundred thousand copies in bearable time. It is the one place that names modules of the program: the store's
`open_library`, `reading`, `writing`, `apply`, provisional keys, and the records. Each box unpacked and each shelf
filled is one entry of the ledger.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

from intake.edges.store.library import open_library
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, Change, Provisional
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place
from intake.model.sightings import Sighting

BEGUN = datetime(2026, 2, 20, 9, tzinfo=UTC)
DELIVERED = date(2026, 2, 19)
UNPACKED, BEGUN_BOXES, ARRIVED = 0.5, 0.52, 0.8
"""Which part of the boxes is at least so far; the others are closed, but for the last one, which is open."""
MISSING_EVERY, WAITING_EVERY = 200, 100
THICKNESS_MM, FILL = 25.0, 0.97

Pair = tuple[Copy, Edition]
Step = tuple[Action, list[Change]]


def stage(folder: Path) -> None:
    """Give boxes and copies their states, in one transaction."""
    with open_library(folder) as library:
        with library.reading() as records:
            boxes = sorted(_ask(records, "boxes", "boxes.list_boxes"), key=lambda box: _serial(box.number))
            pairs = sorted(_ask(records, "copies", "copies.all_copies"), key=lambda pair: _serial(pair[0].accession))
            shelves = _ask(records, "shelves", "shelves.shelves_in_order")
        done: dict[str, Copy] = {}
        with library.writing() as work:
            for action, changes in _steps(boxes, pairs, shelves, done):
                work.apply(action, changes)


def _ask(records: Any, method: str, query: str) -> Any:
    """Ask the library as the measured program does: by a method of version 0.1.0, by a query since."""
    if hasattr(records, method):
        return getattr(records, method)()
    module, name = query.split(".")
    return getattr(import_module(f"intake.edges.store.queries.{module}"), name)(records)


def _serial(number: str) -> int:
    return int(number[1:].partition("-")[0])


def _steps(
    boxes: Sequence[Box], pairs: Sequence[Pair], shelves: Sequence[Place], done: dict[str, Copy]
) -> Iterator[Step]:
    by_box: dict[str, list[Copy]] = {}
    for copy, _ in pairs:
        if copy.box:
            by_box.setdefault(copy.box, []).append(copy)
    new = Provisional()
    for nth, box in enumerate(boxes):
        far = nth / len(boxes)
        if box is boxes[-1]:
            continue
        if far >= ARRIVED:
            yield _action("close box", box.number), [Change(box, replace(box, state=BoxState.CLOSED))]
            continue
        state = BoxState.UNPACKED if far < UNPACKED else BoxState.ARRIVED
        changes = [Change(box, replace(box, state=state, delivered=DELIVERED))]
        seen = by_box[box.number] if far < UNPACKED else by_box[box.number][::2] if far < BEGUN_BOXES else []
        for copy in seen:
            changes += _unpacked(copy, new.id(), nth, missing=_serial(copy.accession) % MISSING_EVERY == 0, done=done)
        yield _action("finish box", box.number), changes
    yield from _shelved([(done[copy.accession], edition) for copy, edition in pairs if copy.accession in done], shelves)


def _unpacked(copy: Copy, sighting_id: int, nth_box: int, *, missing: bool, done: dict[str, Copy]) -> list[Change]:
    if missing:
        return [Change(copy, replace(copy, state=CopyState.MISSING))]
    done[copy.accession] = replace(copy, state=CopyState.UNPACKED)
    at = BEGUN + timedelta(minutes=15 * nth_box, seconds=30 * (-sighting_id % 12))
    sighting = Sighting(
        id=sighting_id, copy=copy.accession, at=at, station="desk", box=copy.box, number="", methods="typed"
    )
    return [Change(copy, done[copy.accession]), Change(None, sighting)]


def _shelved(pairs: Sequence[Pair], shelves: Sequence[Place]) -> Iterator[Step]:
    """Fill the shelves from the first on, in the order of the copies, leaving a few copies waiting."""
    left = [pair for pair in pairs if _serial(pair[0].accession) % WAITING_EVERY]
    at = 0
    for shelf in shelves:
        room_mm = (shelf.width_mm or 0) * FILL
        changes: list[Change] = []
        while at < len(left) and (room_mm := room_mm - (left[at][1].thickness_mm or THICKNESS_MM)) >= 0:
            copy, position = left[at][0], len(changes) + 1
            mark = f"{shelf.name}/{position}"
            shelved = replace(copy, state=CopyState.SHELVED, place=shelf.number, position=position, shelfmark=mark)
            changes.append(Change(copy, shelved))
            at += 1
        if changes:
            yield _action("shelve copy", shelf.number), changes


def _action(name: str, subject: str) -> Action:
    kinds: Any = getattr(import_module("intake.model.changes"), "ActionKind", str)
    return Action(kinds(name), subject, "benchmark")


if __name__ == "__main__":
    stage(Path(sys.argv[1]))
