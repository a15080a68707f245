"""What a person states of a box against what the library holds: masses that cannot be, days in the wrong order."""

from collections.abc import Iterable
from datetime import date

from intake.edges.store.queries.copies import CopyPair
from intake.errors import RefusedError, UsageError
from intake.model.boxes import Box, Consignment
from intake.units.convert import kg_text
from intake.weighing.plausible import GrossFault, packed_g, too_light

_WHY = {
    GrossFault.NOT_ABOVE_TARE: "is not more than the empty box, which weighs {mass}",
    GrossFault.BELOW_BOOKS: "is less than its books alone, which weigh {mass} by the catalog",
}


def check_gross(box: Box, gross_g: float | None, contents: Iterable[CopyPair], *, as_weighed: bool) -> None:
    """Refuse a gross mass that box and books by themselves exceed.

    Args:
        box: whose mass when empty may be known.
        gross_g: as stated; None where it is not.
        contents: what the box lists.
        as_weighed: whether the person has said that it is right all the same.

    Raises:
        RefusedError: it is not above the mass of the empty box, or below that of the books that lie in it.
    """
    light = None if gross_g is None or as_weighed else too_light(box, gross_g, packed_g(contents))
    if gross_g is not None and light is not None:
        raise RefusedError(
            f"The gross mass {kg_text(gross_g)} of box {box.number}",
            _WHY[light.fault].format(mass=kg_text(light.least_g)),
            "weigh it again or correct the recorded masses; if it is right, record it with --as-weighed",
        )


def check_delivery(
    box: Box, consignment: Consignment | None, delivered: date | None, *, today: date | None = None
) -> None:
    """Refuse a delivery that is still to come, or before the dispatch.

    Args:
        box: that was delivered.
        consignment: in which it travels.
        delivered: the day; None where it is not stated.
        today: None where the day is recorded already.

    Raises:
        UsageError: the day is in the future.
        RefusedError: the carrier would have delivered the box before taking it over.
    """
    if delivered is None:
        return
    if today is not None and delivered > today:
        raise UsageError(f"The delivery on {delivered}", f"is in the future (today is {today})", "correct the date")
    dispatched = consignment.dispatched if consignment else None
    if dispatched is not None and delivered < dispatched:
        raise RefusedError(
            f"The delivery of box {box.number} on {delivered}",
            f"is before the dispatch of its consignment on {dispatched}",
            "correct the day of delivery, or the dispatch with 'intake consign add REFERENCE --dispatched DAY'",
        )
