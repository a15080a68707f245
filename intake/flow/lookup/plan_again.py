"""A step that plans and applies is planned again where another station came between."""

from collections.abc import Callable
from typing import TypeVar

from intake.errors import ChangedMeanwhileError

_Result = TypeVar("_Result")


def plan_again(step: Callable[[], _Result]) -> _Result:
    """Do a step, and once more where the records that it was planned with were changed before it was applied.

    Raises:
        ChangedMeanwhileError: they were changed again.
    """
    try:
        return step()
    except ChangedMeanwhileError:
        return step()
