"""How long the rest of the unpacking will take, judged by the pace so far.

Time between two sightings counts as work unless it is a break. The mean time for one copy, and two standard errors to
either side of it, give the hours that are left: a range, for a single figure would claim more than is known.

Does not know how many people work, or that the heavy boxes come last.

Source: mean and standard error, any textbook of statistics; the length of a break is common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from statistics import fmean, stdev

BREAK_S = 900.0
"""A longer pause than this is counted as a break, not as work."""
FEWEST = 10
"""With fewer timed copies than this no pace is computed."""
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Pace:
    """The pace so far, and the hours that are left at it.

    Attributes:
        timed: number of copies the pace is judged by.
        per_hour: copies an hour.
        left: copies that are still packed.
        least_h, most_h: hours of work that are left, from two standard errors below the mean to two above.
    """

    timed: int
    per_hour: float
    left: int
    least_h: float
    most_h: float


def estimate(seen: Sequence[datetime], left: int) -> Pace | None:
    """Estimate the hours of work that are left.

    Args:
        seen: when copies were seen, in any order.
        left: how many are still packed.

    Returns:
        None where too few copies were seen one after the other.
    """
    gaps = [(later - earlier).total_seconds() for earlier, later in pairwise(sorted(seen))]
    worked = [gap for gap in gaps if gap <= BREAK_S]
    if len(worked) < FEWEST or fmean(worked) <= 0:
        return None
    mean_s = fmean(worked)
    error_s = 2 * stdev(worked) / math.sqrt(len(worked))
    return Pace(
        timed=len(worked),
        per_hour=SECONDS_PER_HOUR / mean_s,
        left=left,
        least_h=left * max(mean_s - error_s, 0.0) / SECONDS_PER_HOUR,
        most_h=left * (mean_s + error_s) / SECONDS_PER_HOUR,
    )


def pace_words(pace: Pace | None) -> str:
    """Write the pace and the time left in one sentence.

    >>> pace_words(None)
    'Too few books have been unpacked to estimate how long the rest will take.'
    """
    if pace is None:
        return "Too few books have been unpacked to estimate how long the rest will take."
    if pace.left == 0:
        return "Nothing is left to unpack."
    least, most = _hours(pace.least_h), _hours(pace.most_h)
    span = most if least == most else f"{least} to {most}"
    return f"About {span} of work left for {pace.left} books, at {pace.per_hour:.0f} an hour so far."


def _hours(hours: float) -> str:
    if hours < 1:
        minutes = max(5, 5 * math.ceil(hours * 12))
        return f"{minutes} minutes"
    rounded = math.ceil(hours * 2) / 2
    return "1 hour" if rounded == 1 else f"{rounded:g} hours"
