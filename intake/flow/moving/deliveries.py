"""The days on which the boxes of a consignment were delivered: each box has its own."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from intake.errors import UsageError
from intake.model.boxes import Box, BoxState, Consignment
from intake.units.advice import advice
from intake.units.local_forms import day_text


@dataclass(frozen=True, slots=True)
class Delivery:
    """The boxes that were delivered on one day; of `stated` the day was not recorded but given by the person."""

    day: date
    boxes: tuple[str, ...]
    stated: tuple[str, ...] = ()


def deliveries_of(boxes: Iterable[Box], *, given: date | None = None) -> tuple[tuple[Delivery, ...], tuple[str, ...]]:
    """Return the deliveries, earliest first, and the boxes that arrived on a day that nobody recorded.

    Args:
        boxes: of a consignment.
        given: the day of those that arrived and have none recorded.
    """
    by_day: dict[date, list[str]] = defaultdict(list)
    stated: list[str] = []
    undated: list[str] = []
    for box in boxes:
        if box.delivered is not None:
            by_day[box.delivered].append(box.number)
        elif box.state in (BoxState.ARRIVED, BoxState.UNPACKED):
            (undated if given is None else stated).append(box.number)
    if given is not None and stated:
        by_day[given] += stated
    deliveries = (
        Delivery(day, tuple(numbers), tuple(number for number in numbers if number in stated))
        for day, numbers in sorted(by_day.items())
    )
    return tuple(deliveries), tuple(undated)


def delivery_words(deliveries: Sequence[Delivery]) -> str:
    """Write the days of delivery, each with its boxes where there are several days."""
    if len(deliveries) == 1:
        return day_text(deliveries[0].day)
    return "; ".join(f"{day_text(delivery.day)}: {', '.join(delivery.boxes)}" for delivery in deliveries)


def check_days(
    consignment: Consignment | None,
    deliveries: Sequence[Delivery],
    *,
    today: date,
    given: date | None = None,
    rates_on: date | None = None,
    rate_on: date | None = None,
) -> None:
    """Refuse days that cannot be: in the future, or a delivery before the dispatch; `given` also where no box needs it.

    Raises:
        UsageError: one of them is such a day.
    """
    dispatched = consignment.dispatched if consignment else None
    days = [("The dispatch", dispatched), ("The day of the rates", rates_on), ("The rate's day", rate_on)]
    days += [("The delivery", given), *(("The delivery", delivery.day) for delivery in deliveries)]
    for name, day in days:
        if day is not None and day > today:
            raise UsageError(f"{name} on {day}", f"is in the future (today is {today})", "correct the date")
    for delivery in deliveries:
        if consignment is not None:
            check_order(dispatched, delivery, consignment.reference)


def check_order(dispatched: date | None, delivery: Delivery, reference: str) -> None:
    """Refuse a delivery before the dispatch: the carrier would have delivered the boxes before taking them over.

    Raises:
        UsageError: it is.
    """
    if dispatched is not None and delivery.day < dispatched:
        raise UsageError(
            f"The delivery on {delivery.day} (box {', '.join(delivery.boxes)})",
            f"is before the dispatch of consignment {reference} on {dispatched}",
            advice(
                f"correct the day of delivery, or the dispatch with 'intake consign add {reference} --dispatched DAY'",
                "correct the day of delivery, or that of the dispatch in the consignment",
            ),
        )
