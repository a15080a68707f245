"""Each box has its own day of delivery; a day that is given fills in only where none is recorded."""

from datetime import date

import pytest

from intake.errors import UsageError
from intake.flow.moving.deliveries import Delivery, check_days, check_order, deliveries_of, delivery_words
from intake.model.boxes import Box, BoxState, Consignment

FIRST, SECOND, THIRD = date(2026, 5, 2), date(2026, 5, 4), date(2026, 5, 6)


def box(number: str, delivered: date | None = None, state: BoxState = BoxState.ARRIVED) -> Box:
    return Box(number=number, delivered=delivered, state=state)


def test_boxes_are_grouped_by_their_own_day() -> None:
    boxes = [box("B1", SECOND), box("B2", FIRST), box("B3", SECOND), box("B4"), box("B5", None, BoxState.CLOSED)]
    assert deliveries_of(boxes) == ((Delivery(FIRST, ("B2",)), Delivery(SECOND, ("B1", "B3"))), ("B4",))
    # A box that has not arrived has no day, whatever is given.
    assert deliveries_of(boxes, given=SECOND) == (
        (Delivery(FIRST, ("B2",)), Delivery(SECOND, ("B1", "B3", "B4"), ("B4",))), (),
    )  # fmt: skip
    assert deliveries_of(boxes, given=THIRD)[0][-1] == Delivery(THIRD, ("B4",), ("B4",))
    assert deliveries_of([box("B5", None, BoxState.OPEN)], given=FIRST) == ((), ())


def test_the_days_in_words() -> None:
    assert delivery_words([Delivery(FIRST, ("B1", "B2"))]) == "2026-05-02"
    assert delivery_words([Delivery(FIRST, ("B1",)), Delivery(SECOND, ("B2", "B3"))]) == (
        "2026-05-02: B1; 2026-05-04: B2, B3"
    )
    assert delivery_words([]) == ""


def test_days_to_come_and_deliveries_before_the_dispatch_are_refused() -> None:
    consignment = Consignment(reference="R-1", dispatched=SECOND)
    check_days(consignment, [Delivery(SECOND, ("B1",))], today=SECOND, rates_on=SECOND, rate_on=FIRST)
    check_order(None, Delivery(FIRST, ("B1",)), "R-1")
    with pytest.raises(UsageError, match="before the dispatch of consignment R-1"):
        check_days(consignment, [Delivery(FIRST, ("B1",))], today=SECOND)
    for more in ({"rates_on": THIRD}, {"rate_on": THIRD}):
        with pytest.raises(UsageError, match="in the future"):
            check_days(consignment, [], today=SECOND, **more)
    with pytest.raises(UsageError, match="The dispatch"):
        check_days(consignment, [], today=FIRST)
    with pytest.raises(UsageError, match="The delivery"):
        check_days(Consignment(reference="R-1"), [Delivery(THIRD, ("B1",))], today=SECOND)
