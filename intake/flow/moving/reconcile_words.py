"""What arrived against what was listed, in words: the same at the terminal and at the desk."""

from intake.flow.moving.pace import pace_words
from intake.flow.moving.reconcile import Reconciled
from intake.model.boxes import BoxState
from intake.model.currencies import amount_text
from intake.model.moving_papers import DiscrepancyLine
from intake.units.counts import counted
from intake.units.local_forms import day_text

DISCREPANCY_HEADS = ("What", "Copy", "Title", "Listed in", "Why", "Value")


def boxes_words(found: Reconciled) -> str:
    """Write how many boxes are finished, begun, closed and awaited."""
    finished = sum(box.state is BoxState.UNPACKED for box in found.unpacked)
    return (
        f"{counted(finished, 'box', 'boxes')} finished, {len(found.unpacked) - finished} begun, "
        f"{len(found.still_closed)} arrived and closed, {len(found.awaited)} awaited"
    )


def discrepancy_rows(found: Reconciled) -> list[tuple[str, ...]]:
    """Return a row, by `DISCREPANCY_HEADS`, for each copy that is missing, damaged, or found elsewhere or since."""
    rows: list[tuple[str, ...]] = [
        (line.what, line.number, line.title, line.box, line.reason, _value(line)) for line in found.lines
    ]
    rows += [("found since", line.number, line.title, line.box, line.since, "") for line in found.found_since]
    rows += [(f"in {one.found_in}", one.number, one.title, one.listed_in, "", "") for one in found.found_elsewhere]
    return rows


def _value(line: DiscrepancyLine) -> str:
    if line.amount is None or line.basis is None:
        return "not valued"
    return f"{amount_text(line.amount, line.currency)}, {line.basis.value}, {day_text(line.valued_on)}"


def fault_lines(found: Reconciled) -> list[str]:
    """Return what was seen of each box that arrived with a fault."""
    return [f"Box {one.number}: {one.what}; {counted(one.pictures, 'photograph')}" for one in found.faults]


def remaining_words(found: Reconciled) -> str:
    """Write how many copies were seen and remain, and the pace."""
    return f"{found.seen} seen, {found.remaining} still in boxes. {pace_words(found.pace)}"
