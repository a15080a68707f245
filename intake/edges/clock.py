"""The clock: the only place that reads the time."""

from datetime import UTC, date, datetime


def now() -> datetime:
    """Return the current time in UTC, truncated to the millisecond (the resolution of the store)."""
    moment = datetime.now(UTC)
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def today() -> date:
    """Return the current date in the local time zone."""
    return datetime.now().astimezone().date()
