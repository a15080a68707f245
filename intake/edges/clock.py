"""The clock: the only place that reads the time."""

import os
import time
from datetime import UTC, date, datetime


def now() -> datetime:
    """Return the current time in UTC, truncated to the millisecond (the resolution of the store)."""
    moment = datetime.now(UTC)
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def making() -> datetime:
    """Return when a file is made, to the second: now, or the moment that SOURCE_DATE_EPOCH names.

    By that variable a file that is made again has the same bytes (https://reproducible-builds.org/specs).
    """
    named = os.environ.get("SOURCE_DATE_EPOCH", "")
    return datetime.fromtimestamp(int(named), UTC) if named.isdecimal() else now().replace(microsecond=0)


def today() -> date:
    """Return the current date in the local time zone."""
    return datetime.now().astimezone().date()


def steady_s() -> float:
    """Return the seconds since some moment, by a clock that nobody can set.

    Where the system has one that goes on while the machine sleeps, that one: what ends after ten minutes ends then too.
    """
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot is None else time.clock_gettime(boot)
