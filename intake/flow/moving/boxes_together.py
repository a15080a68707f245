"""Several boxes closed or checked in at once: all of them or none, in one entry of the ledger."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.moving.box_lifecycle import NOT_LOOKED_AT, ArrivalReport, BoxStep, plan_check_in, plan_closing
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind


@dataclass(frozen=True, slots=True)
class BoxesTaken:
    """Boxes of which one step was taken together, and its entry of the ledger; no entry where it is a dry run."""

    boxes: tuple[Box, ...]
    entry: int | None


def close_boxes(
    library: Library,
    box_texts: Sequence[str],
    *,
    gross_g: float | None = None,
    as_weighed: bool = False,
    seal: str = "",
    dry_run: bool = False,
    station: str,
) -> BoxesTaken:
    """Close boxes, see `box_lifecycle.close_box`; a mass and a seal are those of one box.

    Returns:
        The boxes as they are then, and the entry; as they would be, where it is a dry run.

    Raises:
        UsageError: one mass or one seal for several boxes.
        RefusedError: a box cannot be closed, or is named twice; none is closed then.
    """
    _refuse_for_several(box_texts, {"mass": gross_g is not None, "seal": bool(seal)})

    def plan(records: LibraryReader, text: str) -> BoxStep:
        return plan_closing(records, text, gross_g=gross_g, as_weighed=as_weighed, seal=seal)

    return _take(library, box_texts, plan, Action(ActionKind.CLOSE_BOX, "", station), dry_run=dry_run)


def check_in_boxes(
    library: Library,
    box_texts: Sequence[str],
    *,
    note: str = "",
    seen: ArrivalReport = NOT_LOOKED_AT,
    today: date | None = None,
    dry_run: bool = False,
    station: str,
) -> BoxesTaken:
    """Record that boxes arrived, see `box_lifecycle.check_in`; a mass and photographs are those of one box.

    Returns:
        The boxes as they are then, and the entry; as they would be, where it is a dry run.

    Raises:
        UsageError: one mass or one photograph for several boxes, or a day that is none of delivery.
        RefusedError: a box cannot be checked in, or is named twice; none is checked in then.
    """
    _refuse_for_several(box_texts, {"mass": seen.arrived_g is not None, "photograph": bool(seen.pictures)})

    def plan(records: LibraryReader, text: str) -> BoxStep:
        return plan_check_in(records, text, note=note, seen=seen, today=today)

    action = Action(ActionKind.CHECK_IN_BOX, "", station, note=note)
    return _take(library, box_texts, plan, action, dry_run=dry_run)


def _take(
    library: Library,
    box_texts: Sequence[str],
    plan: Callable[[LibraryReader, str], BoxStep],
    action: Action,
    *,
    dry_run: bool,
) -> BoxesTaken:
    """Plan a step of each box, and take them together."""
    steps: dict[str, BoxStep] = {}
    with library.reading() as records:
        for text in box_texts:
            step = plan(records, text)
            if step.before.number in steps:
                raise RefusedError(f"Box {step.before.number}", "is named twice", "name it once", field="box")
            steps[step.before.number] = step
    boxes = tuple(step.after for step in steps.values())
    if dry_run:
        return BoxesTaken(boxes, None)
    changes = [change for step in steps.values() for change in step.changes]
    return BoxesTaken(boxes, library.apply(replace(action, subject=", ".join(steps)), changes).entry.seq)


def _refuse_for_several(box_texts: Sequence[str], given: dict[str, bool]) -> None:
    for what, is_given in given.items():
        if is_given and len(box_texts) > 1:
            why = f"cannot be that of {len(box_texts)} boxes"
            raise UsageError(f"One {what}", why, "name that box alone", field="box")
