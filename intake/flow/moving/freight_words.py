"""A consignment as freight, in sentences: figures of the same boxes side by side, and which boxes are in none."""

from collections.abc import Iterable, Sequence

from intake.carriage.freight import WALL_MM, ConsignmentFreight
from intake.flow.moving.consignments import FreightLine
from intake.units.convert import kg_text
from intake.units.language import say, say_of
from intake.units.local_forms import figures

FREIGHT_HEADS = ("Box", "State", "Room", "Seal", "Outside, mm", "Size", "Volume", "Gross")


def freight_row(line: FreightLine) -> tuple[str, ...]:
    """Return a row, by `FREIGHT_HEADS`, of one box."""
    box, outer = line.box, line.outer
    return (
        box.number,
        box.state.value,
        box.room,
        box.seal,
        " x ".join(f"{side:.0f}" for side in outer.size_mm) if outer else "not known",
        outer.source.value if outer else "",
        f"{outer.volume_m3:.3f} m³" if outer else "",
        kg_text(box.carried_g) if box.carried_g is not None else "not weighed",
    )


def mass_and_volume(sums: ConsignmentFreight) -> Iterable[str]:
    """Yield gross mass and volume of the boxes of which both are known, and what was assumed and left out."""
    if sums.counted:
        yield say_of(
            len(sums.counted),
            "Of {count} box of known mass and size: gross mass {mass}, volume {volume} m³",
            "Of {count} boxes of known mass and size: gross mass {mass}, volume {volume} m³",
            mass=kg_text(sums.gross_g),
            volume=figures(sums.volume_m3, 3),
        )
    else:
        yield say("Gross mass and volume together: not known, of no box are both mass and size known")
    if sums.assumed:
        yield say(
            "Outer size assumed from the inner size, {wall} mm larger each way: {boxes}; a carrier measures outside",
            wall=f"{WALL_MM:.0f}",
            boxes=_names(sums.assumed),
        )
    if sums.on_arrival:
        yield say("Weighed on arrival only: {boxes}", boxes=_names(sums.on_arrival))
    if sums.unweighed:
        yield say("Not weighed, and not in these figures: {boxes}", boxes=_names(sums.unweighed))
    if sums.unmeasured:
        yield say("Not measured, and not in these figures: {boxes}", boxes=_names(sums.unmeasured))


def chargeable(sums: ConsignmentFreight, *, divisor: float, step_g: float | None) -> Iterable[str]:
    """Yield what a carrier charges for, by air or courier and by sea; nothing where no box can be counted.

    Args:
        sums: of the consignment.
        divisor: cubic centimetres that count as a kilogram.
        step_g: what the chargeable mass was rounded up to a multiple of; None for no rounding.
    """
    if not sums.counted:
        return
    rounding = f", rounded up once to a multiple of {kg_text(step_g)}" if step_g else ""
    larger = "volumetric" if sums.volumetric_g > sums.gross_g else "gross"
    yield (
        f"Chargeable {kg_text(sums.chargeable_g)}: the larger of gross {kg_text(sums.gross_g)} and volumetric "
        f"{kg_text(sums.volumetric_g)} (divisor {divisor:g}), here the {larger}{rounding}"
    )
    yield f"By sea {sums.weight_or_measure:.3f} W/M, the larger of cubic metres and tonnes"


def _names(numbers: Sequence[str]) -> str:
    return ", ".join(numbers)
