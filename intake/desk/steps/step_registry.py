"""All steps of the desk, in the order in which they are listed."""

from intake.desk.steps.arrival_steps import ARRIVAL_STEPS
from intake.desk.steps.claim_steps import CLAIM_STEPS
from intake.desk.steps.copy_steps import COPY_STEPS
from intake.desk.steps.keeping_steps import KEEPING_STEPS
from intake.desk.steps.list_steps import LIST_STEPS
from intake.desk.steps.packing_steps import PACKING_STEPS
from intake.desk.steps.plan_step import PLAN_STEP
from intake.desk.steps.rate_steps import RATE_STEPS
from intake.desk.steps.shelving_steps import SHELVING_STEPS
from intake.desk.steps.step_record import DeskStep
from intake.desk.steps.value_steps import VALUE_STEPS
from intake.desk.steps.worth_steps import WORTH_STEPS
from intake.errors import UsageError

STEPS: tuple[DeskStep, ...] = (
    *LIST_STEPS,
    PLAN_STEP,
    *PACKING_STEPS,
    *ARRIVAL_STEPS,
    *CLAIM_STEPS,
    *SHELVING_STEPS,
    *VALUE_STEPS,
    *WORTH_STEPS,
    *RATE_STEPS,
    *COPY_STEPS,
    *KEEPING_STEPS,
)
_BY_NAME = {step.name: step for step in STEPS}


def find_step(name: str) -> DeskStep:
    """Return a step.

    Raises:
        UsageError: there is none of this name.
    """
    step = _BY_NAME.get(name)
    if step is None:
        raise UsageError("This step", "is not one of the desk's", "choose one of the list")
    return step
