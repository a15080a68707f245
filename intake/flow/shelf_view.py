"""The shelves for a person: how full each is, and where each unpacked copy goes next."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.edges.store.records import Records
from intake.flow.advice import advise
from intake.flow.finding import place_name
from intake.model.editions import Copy, CopyState, Edition
from intake.model.places import Place
from intake.shelving.sizes import free_mm

SHOWN = 12
"""Unpacked copies that are shown with their places; the next ones come when these stand."""


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """One shelf.

    Attributes:
        free: the room that is left, in words; empty where the width of the shelf is unknown.
        full_of_100: how full it is, for a bar; None where that is unknown.
    """

    shelf: Place
    name: str
    copies: int
    free: str
    full_of_100: int | None


def shelf_rows(records: Records, shelves: Sequence[Place] | None = None) -> tuple[ShelfRow, ...]:
    """List shelves, all of them in their order unless some are named."""
    counts = records.copies_per_place()
    rows: list[ShelfRow] = []
    for shelf in records.shelves() if shelves is None else shelves:
        standing = records.standing_at(shelf.number) if shelf.number in counts else ()
        free = free_mm(shelf, standing)
        full = None
        if free is not None and shelf.width_mm:
            full = min(100, max(0, round(100 * (1 - free / shelf.width_mm))))
        words = "" if free is None else f"{max(free, 0) / 10:.0f} cm free"
        rows.append(ShelfRow(shelf, place_name(records, shelf), len(standing), words, full))
    return tuple(rows)


def waiting_copies(records: Records) -> tuple[tuple[Copy, Edition, str, str], ...]:
    """List unpacked copies that stand nowhere yet: the copy, its edition, the shelf's number and its name."""
    placed: list[tuple[Copy, Edition, str, str]] = []
    for copy, edition in records.copies_in_state(CopyState.UNPACKED, SHOWN):
        advice = advise(records, copy, edition)
        placed.append((copy, edition, advice.shelf or "", advice.where))
    return tuple(placed)
