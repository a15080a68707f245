"""Any step that plans and applies, looked at before it is taken: what it would change, in words.

The step itself runs, in a library that hands its plan back where it would be written (`intake.edges.store.rehearsal`);
so that what is looked at is what is done, and no step needs a second form that only plans.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from intake.edges.store.library import Library
from intake.edges.store.rehearsal import RehearsedError, RehearsedLibrary
from intake.flow.corrections.correction_plan import CorrectionPlan, plan_lines

MOST_LINES = 200
"""Lines of a plan that a person is shown; of more, how many there are."""

_Result = TypeVar("_Result")


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """What a step would change.

    Attributes:
        lines: in words; a line that begins with spaces belongs to the one before it.
    """

    lines: tuple[str, ...]


def rehearse(library: Library, step: Callable[[Library], _Result]) -> Rehearsal | _Result:
    """Run a step as far as its plan; nothing is written.

    Returns:
        What it would change; or what it returns, where it would change nothing.

    Raises:
        IntakeError: the step is refused.
    """
    try:
        return step(RehearsedLibrary(library))
    except RehearsedError as ended:
        steps = ended.steps
    with library.reading() as records:
        lines = [
            line
            for action, changes in steps
            for line in plan_lines(records, CorrectionPlan(action=action, changes=changes))
        ]
    if len(lines) > MOST_LINES:
        lines[MOST_LINES:] = [f"… and {len(lines) - MOST_LINES} more lines."]
    return Rehearsal(tuple(lines))
