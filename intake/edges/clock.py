"""The clock: the only place that asks what time it is."""

from datetime import UTC, date, datetime


def now() -> datetime:
    """Return the moment, in UTC, to the millisecond (what the store keeps)."""
    moment = datetime.now(UTC)
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def today() -> date:
    """Return the date where the person is."""
    return datetime.now().astimezone().date()
