"""Where the next copy goes: beside its set, else on a shelf of its subject that has room and is tall enough.

This first form looks at one copy and today's shelves and moves nothing to make room. It does not weigh anything.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.editions import Copy, Edition
from intake.model.places import Place, PlaceKind
from intake.shelving.sizes import thickness_mm


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A shelf for a copy, and why that one."""

    shelf: Place
    reason: str
    free_mm: float | None


def suggest(
    edition: Edition,
    *,
    shelves: Sequence[Place],
    standing: Mapping[str, Sequence[tuple[Copy, Edition]]],
) -> Suggestion | None:
    """Suggest a shelf.

    Args:
        edition: of the copy in the hand; `thickness_mm` and `height_mm` may be unknown.
        shelves: all shelves, in the order in which they are to be filled.
        standing: what stands on each shelf, by the shelf's number.

    Returns:
        The best shelf, or None where no shelf is fit for it.
    """
    fit = [shelf for shelf in shelves if shelf.kind is PlaceKind.SHELF and _fits(edition, shelf, standing)]
    for wanted, reason in (
        (lambda shelf: _holds_set(edition, standing.get(shelf.number, ())), "other volumes of its set stand there"),
        (lambda shelf: bool(edition.subject) and shelf.subject == edition.subject, f"shelf of {edition.subject!r}"),
        (lambda shelf: not shelf.subject, "a shelf for any subject with room"),
    ):
        for shelf in fit:
            if wanted(shelf):
                return Suggestion(shelf, reason, free_mm(shelf, standing.get(shelf.number, ())))
    return None


def free_mm(shelf: Place, standing: Sequence[tuple[Copy, Edition]]) -> float | None:
    """Return the width still free on a shelf, in mm; None where the shelf's width is unknown."""
    if shelf.width_mm is None:
        return None
    return shelf.width_mm - sum(thickness_mm(edition) for _, edition in standing)


def _fits(edition: Edition, shelf: Place, standing: Mapping[str, Sequence[tuple[Copy, Edition]]]) -> bool:
    free = free_mm(shelf, standing.get(shelf.number, ()))
    wide_enough = free is None or free >= thickness_mm(edition)
    tall_enough = shelf.height_mm is None or edition.height_mm is None or edition.height_mm <= shelf.height_mm
    deep_enough = shelf.depth_mm is None or edition.width_mm is None or edition.width_mm <= shelf.depth_mm
    return wide_enough and tall_enough and deep_enough


def _holds_set(edition: Edition, standing: Sequence[tuple[Copy, Edition]]) -> bool:
    return edition.set_id is not None and any(other.set_id == edition.set_id for _, other in standing)
