"""Which value of a copy makes its loss: the one that counted on the day of delivery of its box.

A value of a later day may be that of the damaged book. It makes the loss only where none of before is on record, and
then it is named. What never arrived cannot have been valued after its delivery: there the value that counts now is the
loss. A regime may ask for the value when the goods were taken over (CMR, article 23(1)), which can be stated with an
earlier day only; that is not looked into here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from intake.edges.store.queries.values import valuations_by_copy
from intake.edges.store.reader import LibraryReader
from intake.flow.moving.deliveries import Delivery
from intake.model.currencies import amount_text
from intake.model.valuations import Valuation
from intake.units.language import say, term
from intake.units.local_forms import day_text
from intake.valuing.counting import counted_until, counting_value

LATER = term("Valued only after the delivery, as nothing of before is on record: {copies}.")
UNDATED = term("The day of delivery is not recorded, so it is not known whether these were valued before it: {copies}.")
NEWER = term("Valued again after the delivery, which is no part of the loss: {copies}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LossValue:
    """The value that makes the loss of a copy, should it be lost.

    Attributes:
        delivered: day of delivery of its box; None where it has not arrived, or nobody recorded the day (`undated`).
        newer: what would count now instead, of a day after the delivery.
    """

    value: Valuation
    delivered: date | None
    undated: bool = False
    newer: Valuation | None = None

    @property
    def is_later(self) -> bool:
        """Return whether it is of a day after the delivery."""
        return self.delivered is not None and self.value.on > self.delivered


def loss_values(
    records: LibraryReader, boxes: Mapping[str, str | None], deliveries: Iterable[Delivery], undated: Iterable[str]
) -> dict[str, LossValue]:
    """Return what makes the loss of each of these copies that has a value, by accession number.

    Args:
        records: the library.
        boxes: the box in which each copy travelled.
        deliveries: the days of delivery with their boxes.
        undated: the boxes that arrived on a day that nobody recorded.
    """
    days = {box: delivery.day for delivery in deliveries for box in delivery.boxes}
    without_day = frozenset(undated)
    found: dict[str, LossValue] = {}
    for copy, recorded in valuations_by_copy(records, boxes).items():
        box = boxes[copy] or ""
        delivered = days.get(box)
        value = counted_until(recorded, delivered)
        now = counting_value(recorded)
        if value is not None:
            newer = None if now == value else now
            found[copy] = LossValue(value=value, delivered=delivered, undated=box in without_day, newer=newer)
    return found


def doubt_words(values: Iterable[LossValue]) -> tuple[str, ...]:
    """Return which values that make a loss are of a day after the delivery, or may be; each with its day."""
    listed = tuple(values)
    later = [_dated(one.value) for one in listed if one.is_later]
    undated = [_dated(one.value) for one in listed if one.undated]
    doubts = ((LATER, later), (UNDATED, undated))
    return tuple(say(words, copies=", ".join(copies)) for words, copies in doubts if copies)


def newer_words(values: Iterable[LossValue]) -> tuple[str, ...]:
    """Return which values of after the delivery make no loss; it is for the owner to know, not for the carrier."""
    newer = [one.newer for one in values if one.newer is not None]
    if not newer:
        return ()
    copies = "; ".join(f"{one.copy} {value_words(one)}" for one in newer)
    return (say(NEWER, copies=copies),)


def value_words(value: Valuation) -> str:
    """Write a value with its basis and its day."""
    return f"{amount_text(value.amount, value.currency)}, {say(value.basis.value)}, {day_text(value.on)}"


def _dated(value: Valuation) -> str:
    return f"{value.copy} ({day_text(value.on)})"
