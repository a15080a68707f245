"""The table: seconds by size, peak memory, the power with which cost grows, and whether that is what it may cost."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tests.benchmarks.growth.jobs import Scope
from tests.benchmarks.growth.running import Run

POWER = 1.1
ONE_S, LIST_S, PAGE_S = 0.5, 40.0, 0.5
"""What one thing, a list and a page may cost at any size, in seconds beyond start-up."""
NOISE_S = 0.1
"""Below this, a time beyond start-up is as much the machine's as the program's."""


@dataclass
class Row:
    """One job of one program: its runs by size; `start_up` is what each of them spent before its job began."""

    scope: Scope
    start_up: float = 0.0
    runs: dict[int, Run] = field(default_factory=dict)

    def beyond(self, size: int) -> float:
        """Return the seconds beyond start-up."""
        return max(0.0, self.runs[size].seconds - self.start_up)

    def power(self) -> tuple[str, float]:
        """Return the slope of log time over log size between the two largest sizes, in words and as a number.

        It is a bound ("≥") where the larger run reached the limit or the smaller is lost in noise; 0 where both are.
        """
        if len(self.runs) < 2 or any(run.status not in (0, None) for run in self.runs.values()):
            return "", 0.0
        small, large = sorted(self.runs)[-2:]
        if self.runs[small].status is None:
            return "?", math.inf
        times = self.beyond(small), self.beyond(large)
        if times[1] < 3 * NOISE_S:
            return "0", 0.0
        slope = max(0.0, math.log(times[1] / max(times[0], NOISE_S)) / math.log(large / small))
        bound = self.runs[large].status is None or times[0] < NOISE_S
        return f"{'≥' if bound else ''}{slope:.2f}", slope

    def missed(self) -> bool:
        """Tell whether it costs more than it may."""
        ended = {size: run for size, run in self.runs.items() if run.status == 0}
        if len(ended) < len(self.runs):
            return True
        longest = max((self.beyond(size) for size in ended), default=0.0)
        if self.scope in (Scope.ONE, Scope.PAGE):
            return longest > (ONE_S if self.scope is Scope.ONE else PAGE_S)
        return self.power()[1] > POWER or (self.scope is Scope.LIST and longest > LIST_S)


def lines(rows: Mapping[str, Mapping[str, Row]], sizes: Sequence[int], limit: float) -> list[str]:
    """Lay out the table.

    Args:
        rows: by job, then by program.
        sizes: of the libraries, smallest first.
        limit: where a run was ended.
    """
    programs = list(dict.fromkeys(program for row in rows.values() for program in row))
    width = 9 * len(sizes) + 17
    name = max(map(len, rows), default=0) + 2
    heading = "".join(f"{size:>9,}" for size in sizes) + f"{'MB':>7}{'power':>8}  "
    told = []
    if len(programs) > 1:
        told.append(" " * (name + 10) + "".join(f"| {program[-width + 3 :]:<{width}}" for program in programs))
    told.append(f"{'':{name}}{'':10}" + "".join(f"| {heading}" for _ in programs))
    for job, row in rows.items():
        scope = next(iter(row.values())).scope
        cells = "".join(f"| {_cells(row.get(program), sizes, limit):<{width}}" for program in programs)
        told.append(f"{job:<{name}}{scope:<10}{cells}".rstrip())
    return told


def _cells(row: Row | None, sizes: Sequence[int], limit: float) -> str:
    if row is None:
        return ""
    seconds = "".join(f"{_seconds(row, size, limit):>9}" for size in sizes)
    peak = max((run.peak_bytes for run in row.runs.values()), default=0)
    return f"{seconds}{peak / 1e6:>7.0f}{row.power()[0]:>8}{' !' if row.missed() else '  '}"


def _seconds(row: Row, size: int, limit: float) -> str:
    run = row.runs.get(size)
    if run is None:
        return ""
    if run.status is None:
        return f"> {limit:g}"
    return "failed" if run.status else f"{row.beyond(size):.2f}"
