"""How long the rest of the unpacking will take, judged by the pace so far.

Time between two sightings counts as work unless it is a break, or one of the two is part of a burst: several copies
recorded faster than anybody takes books out of a box, as when pictures of a whole pile are read, a list is imported or
a phone sends what it has kept. When their work was done is not known, so neither the time within a burst nor the time
before it counts. The mean time for one copy, and two standard errors to either side of it, give the hours that are
left: a range, for a single figure would claim more than is known.

Does not know how many people work, or that the heavy boxes come last.

Source: mean and standard error, any textbook of statistics; the lengths of a break and of a burst's gaps are common
practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise, zip_longest
from statistics import fmean, stdev

from intake.units.counts import counted

BREAK_S = 900.0
"""A longer pause than this is counted as a break, not as work."""
BURST_S = 5.0
"""A copy recorded sooner than this after the one before is part of a burst."""
LATEST = 500
"""The pace is judged by so many of the latest copies: a person gets quicker, and tired."""
FEWEST = 10
"""With fewer timed copies than this no pace is computed."""
SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Pace:
    """The pace so far, and the hours that are left at it.

    Attributes:
        timed: number of copies the pace is judged by.
        in_bursts, after_breaks: number of copies that are not, for they were recorded in a burst, or after a break.
        since, until: when the first and the last of them were recorded.
        per_hour: copies an hour.
        left: copies that are still packed.
        least_h, most_h: hours of work that are left, from two standard errors below the mean to two above.
    """

    timed: int
    in_bursts: int
    after_breaks: int
    since: datetime
    until: datetime
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
    latest = sorted(seen)[-LATEST:]
    gaps = [(later - earlier).total_seconds() for earlier, later in pairwise(latest)]
    # A gap belongs to the copy at its end, which is of a burst if it follows, or is followed, too soon.
    soon = [gap < BURST_S for gap in gaps]
    burst = [own or following for own, following in zip_longest(soon, soon[1:], fillvalue=False)]
    single = [gap for gap, of_burst in zip(gaps, burst, strict=True) if not of_burst]
    worked = [gap for gap in single if gap <= BREAK_S]
    if len(worked) < FEWEST:
        return None
    mean_s = fmean(worked)
    error_s = 2 * stdev(worked) / math.sqrt(len(worked))
    return Pace(
        timed=len(worked),
        in_bursts=sum(burst),
        after_breaks=len(single) - len(worked),
        since=latest[0],
        until=latest[-1],
        per_hour=SECONDS_PER_HOUR / mean_s,
        left=left,
        least_h=left * max(mean_s - error_s, 0.0) / SECONDS_PER_HOUR,
        most_h=left * (mean_s + error_s) / SECONDS_PER_HOUR,
    )


def pace_words(pace: Pace | None) -> str:
    """Write the time left, the pace, and what they rest on.

    >>> pace_words(None)
    'Too few books have been unpacked one by one to estimate how long the rest will take.'
    """
    if pace is None:
        return "Too few books have been unpacked one by one to estimate how long the rest will take."
    if pace.left == 0:
        return "Nothing is left to unpack."
    least, most = _hours(pace.least_h), _hours(pace.most_h)
    span = most if least == most else f"{least} to {most}"
    books = counted(pace.left, "book")
    rests_on = f"{pace.timed} unpacked one by one, {_period(pace.since.date(), pace.until.date())}{_not_counted(pace)}"
    return f"About {span} of work left for {books}, at {pace.per_hour:.0f} an hour: judged by {rests_on}."


def _period(since: date, until: date) -> str:
    return f"on {since}" if since == until else f"from {since} to {until}"


def _not_counted(pace: Pace) -> str:
    """Write what the pace leaves out."""
    reasons = ((pace.in_bursts, "recorded in bursts"), (pace.after_breaks, "after breaks"))
    words = " and ".join(f"{count} {reason}" for count, reason in reasons if count)
    return f"; without {words}" if words else ""


def _hours(hours: float) -> str:
    if hours < 1:
        minutes = max(5, 5 * math.ceil(hours * 12))
        return f"{minutes} minutes"
    rounded = math.ceil(hours * 2) / 2
    return "1 hour" if rounded == 1 else f"{rounded:g} hours"
