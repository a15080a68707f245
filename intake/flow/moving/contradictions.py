"""What a scale says of a box, compared with what the library holds: masses that cannot be."""

from collections.abc import Iterable

from intake.edges.store.queries.copies import CopyPair
from intake.errors import RefusedError
from intake.model.boxes import Box
from intake.model.editions import CopyState
from intake.units.advice import advice
from intake.units.convert import kg_text
from intake.units.counts import counted
from intake.weighing.plausible import GrossFault, contradicts, packed_g, too_light

_WHY = {
    GrossFault.NOT_ABOVE_TARE: "is not more than the empty box, which weighs {mass}",
    GrossFault.BELOW_BOOKS: "is less than its books alone, which weigh {mass} by the catalog{without}",
}


def check_gross(box: Box, gross_g: float | None, contents: Iterable[CopyPair], *, as_weighed: bool) -> None:
    """Refuse a gross mass that the empty box, or the books alone, exceed.

    Args:
        box: whose mass when empty may be known.
        gross_g: as stated; None where it is not.
        contents: what the box lists.
        as_weighed: whether the person has said that it is right all the same.

    Raises:
        RefusedError: it is not above the mass of the empty box, or below that of the books that lie in it.
    """
    contents = list(contents)
    light = None if gross_g is None or as_weighed else too_light(box, gross_g, packed_g(contents))
    if gross_g is not None and light is not None:
        raise RefusedError(
            f"The gross mass {kg_text(gross_g)} of box {box.number}",
            _WHY[light.fault].format(mass=kg_text(light.least_g), without=_without(contents)),
            "weigh it again or correct the recorded masses; if it is right, "
            + advice("record it with --as-weighed", "tick that it weighs that, and record it"),
            field="gross",
        )


def _without(contents: Iterable[CopyPair]) -> str:
    """Write how many stated masses were not counted; empty for none."""
    left_out = sum(copy.state is CopyState.PACKED and contradicts(edition) for copy, edition in contents)
    return f", without {counted(left_out, 'mass', 'masses')} that size and extent contradict" if left_out else ""
