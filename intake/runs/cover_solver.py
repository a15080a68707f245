"""Covers proved optimal: whole choices under sums, handed to the solver HiGHS, whose answer is counted again here.

Every problem of this step is of one form: choose some of several things so that each row (a part, or a budget) is
kept, and a sum is least. HiGHS is exact up to its tolerances; a bound is taken as proved only where it rounds up to
the sum that was found.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

SECONDS = 5.0
TOLERANCE = 1e-6
LARGEST_SLACK = 0.4
"""Sums are whole: a bound that is less than this below one proves it, and one that rounds up to less does not."""
FINEST = 1e-9
"""Of a sum, what the solver's own arithmetic may be wrong by."""


@dataclass(frozen=True, slots=True)
class CoverRow:
    """A sum over the choices, each with its weight, that is at least and at most so much."""

    weights: Mapping[int, int]
    least: int | None = None
    most: int | None = None

    def holds(self, chosen: Sequence[bool]) -> bool:
        """Tell whether a choice keeps the row."""
        total = sum(weight for nth, weight in self.weights.items() if chosen[nth])
        return (self.least is None or total >= self.least) and (self.most is None or total <= self.most)


@dataclass(frozen=True, slots=True)
class CoverChoice:
    """A choice that keeps every row.

    Attributes:
        chosen: for each thing, whether it is chosen.
        total: the sum over those chosen.
        bound: no choice has a smaller sum than this.
    """

    chosen: tuple[bool, ...]
    total: int
    bound: int

    @property
    def proved(self) -> bool:
        """Tell whether no other choice has a smaller sum."""
        return self.bound >= self.total


def least_sum(costs: Sequence[int], rows: Sequence[CoverRow], seconds: float = SECONDS) -> CoverChoice | None:
    """Choose things with the least sum of costs.

    Args:
        costs: of each thing; whole numbers, which may be negative.
        rows: what must hold.
        seconds: how long to search.

    Returns:
        The best choice found in the time, with its bound; None if there is none, or none was found.
    """
    if not costs:
        return CoverChoice((), 0, 0) if all(row.holds(()) for row in rows) else None
    solver = _solver(seconds)
    _add_columns(solver, costs)
    for row in rows:
        index = np.fromiter(row.weights, dtype=np.int32, count=len(row.weights))
        value = np.fromiter(row.weights.values(), dtype=np.float64, count=len(row.weights))
        low = -highspy.kHighsInf if row.least is None else row.least
        high = highspy.kHighsInf if row.most is None else row.most
        solver.addRow(low, high, len(index), index, value)
    solver.run()
    info = solver.getInfo()
    chosen = tuple(value > 0.5 for value in solver.getSolution().col_value)
    is_found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    if not is_found or not all(row.holds(chosen) for row in rows):
        return None
    total = sum(cost for cost, taken in zip(costs, chosen, strict=True) if taken)
    bound = info.mip_dual_bound
    slack = max(min(TOLERANCE * max(1.0, abs(total)), LARGEST_SLACK), FINEST * abs(total))
    whole = math.ceil(bound - slack) if math.isfinite(bound) else sum(min(cost, 0) for cost in costs)
    return CoverChoice(chosen, total, min(whole, total))


class _QuietHighs(highspy.Highs):
    """The solver without the callbacks that it is made with, for setting them prints its name on standard output."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()
        self.silent()


def _solver(seconds: float) -> highspy.Highs:
    solver = _QuietHighs()
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    return solver


def _add_columns(solver: highspy.Highs, costs: Sequence[int]) -> None:
    count = len(costs)
    solver.addVars(count, np.zeros(count), np.ones(count))
    index = np.arange(count, dtype=np.int32)
    solver.changeColsCost(count, index, np.array(costs, dtype=np.float64))
    solver.changeColsIntegrality(count, index, np.full(count, highspy.HighsVarType.kInteger))
