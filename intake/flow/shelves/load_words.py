"""Words about loads: how shelves sag, what a bookcase puts on the floor, what books need more than a shelf has."""

from collections.abc import Sequence
from typing import assert_never

from intake.shelving.excess import Excess, ShelfLimit
from intake.shelving.loads import (
    FLOOR_LOADS,
    STRIP_MM,
    VISIBLE,
    WOODWORK,
    BookcaseLoad,
    FloorLoad,
    SagUnknown,
    ShelfLoad,
    exceeded_by,
)
from intake.units.convert import kg_text, mm_to_m

ANCHOR = "Anchor the bookcase to the wall and put the heavy books low."
ENGINEER = (
    "National and local building codes and a structural engineer decide what a floor can bear: ask one before a wall "
    "is filled with books, above all in an old house."
)
TOP_HEAVY = "Its upper half carries more than its lower half."
SAG_BASIS = (
    "Sags are of the bare board under its books, by the least stiffness of its material, and grow over the years by "
    "1 + k_def of EN 1995-1-1."
)


def floor_loads_words() -> str:
    """Write what the codes design floors for."""
    floors = "; ".join(f"{floor.use} {_range(floor)} ({floor.code})" for floor in FLOOR_LOADS)
    return f"Whole floors are designed for: {floors}."


def shelves_cautions(loads: Sequence[tuple[str, ShelfLoad]]) -> list[str]:
    """Write what is wrong with the loads of shelves, and why a sag is not known; what is the same of several once.

    Args:
        loads: the name of each shelf, and its load.
    """
    cautions = [excess_words(excess, name) for name, load in loads for excess in load.excess]
    alike: dict[str, list[str]] = {}
    for name, load in loads:
        for caution in _sag_cautions(load):
            alike.setdefault(caution, []).append(name)
    return cautions + [f"{', '.join(names)}: {caution}" for caution, names in alike.items()]


def _sag_cautions(load: ShelfLoad) -> tuple[str, ...]:
    if load.unknown is not None:
        return (_unknown_words(load.unknown, load.shelf.material),)
    cautions = []
    span, late, board = load.span_mm, load.late_sag_mm, load.board
    if load.will_show and span and late and board:
        cautions.append(
            f"Over the years it may sag by {late:.1f} mm, which is visible (more than {span * VISIBLE:.1f} mm); "
            f"{board.name}: {board.modulus_source}; {board.creep_source}, k_def {board.creep:.2f}."
        )
    if load.beyond_woodwork and span and load.sag_mm:
        cautions.append(
            f"It may sag by {load.sag_mm:.1f} mm at once, more than the longest shelves of the Architectural Woodwork "
            f"Standards (L/144, {span * WOODWORK:.1f} mm): support it in the middle, or load it less."
        )
    return tuple(cautions)


def floor_words(load: BookcaseLoad) -> str:
    """Write what a bookcase puts on the floor, and what of it is not known."""
    about = "about " if load.estimated else ""
    mass = f"{'Books and bookcase' if load.own_mass else 'Books'} {about}{kg_text(load.mass_g)}"
    without = "" if load.own_mass else ", without the bookcase, whose mass is not known"
    if load.pressure_kpa is None and load.spread_kpa is None:
        return f"{mass}{without}; its load on the floor is not known, because its outer size is not."
    loads = []
    if load.pressure_kpa is not None:
        loads.append(f"{load.pressure_kpa:.2f} kPa on its footprint")
    if load.spread_kpa is not None:
        loads.append(f"{load.spread_kpa:.2f} kPa spread over {mm_to_m(STRIP_MM):.1f} m from the wall")
    return f"{mass}{without}: {', '.join(loads)}."


def floor_cautions(load: BookcaseLoad) -> tuple[str, ...]:
    """Write which floors are designed for less than a bookcase puts on them; one sentence each."""
    cautions = []
    spread = exceeded_by(load.spread_kpa) if load.spread_kpa is not None else ()
    if spread:
        cautions.append(
            f"Even spread over {mm_to_m(STRIP_MM):.1f} m it loads the floor more than it may be designed for in "
            f"{_floors(spread)}. Ask a structural engineer."
        )
    beneath = exceeded_by(load.pressure_kpa) if load.pressure_kpa is not None else ()
    if beneath and beneath[-1] is FLOOR_LOADS[-1]:
        cautions.append(f"On its footprint its load is above {_floors(beneath[-2:])}. Ask a structural engineer.")
    return tuple(cautions)


def excess_words(excess: Excess, shelf: str) -> str:
    """Write one limit of a shelf that is exceeded.

    Args:
        excess: the limit.
        shelf: how the shelf is called ("A 3").

    >>> excess_words(Excess(ShelfLimit.LENGTH, 815.0, 800.0, estimated=True), "A 3")
    'The books on A 3 need 815 mm and have 800 mm; some of these sizes are estimated.'
    """
    estimated = "; some of these sizes are estimated" if excess.estimated else ""
    names = " and ".join(excess.copies)
    tallest = f"{excess.needs:.0f} mm" if len(excess.copies) == 1 else f"up to {excess.needs:.0f} mm"
    match excess.limit:
        case ShelfLimit.LENGTH:
            return f"The books on {shelf} need {excess.needs:.0f} mm and have {excess.has:.0f} mm{estimated}."
        case ShelfLimit.HEIGHT:
            return f"{shelf} is {excess.has:.0f} mm high, too low for {names} ({tallest} high{estimated})."
        case ShelfLimit.DEPTH:
            return f"{shelf} is {excess.has:.0f} mm deep, less than {names} ({tallest} deep{estimated})."
        case ShelfLimit.LOAD:
            about = "about " if excess.estimated else ""
            allowed = f"more than the {kg_text(excess.has)} that its maker allows"
            return f"{shelf} carries {about}{kg_text(excess.needs)}, {allowed}."
        case limit:
            assert_never(limit)


def _unknown_words(why: SagUnknown, material: str) -> str:
    match why:
        case SagUnknown.NO_MATERIAL:
            return "Its sag is not known: the material of its board is not recorded."
        case SagUnknown.NOT_IN_TABLE:
            return f"Its sag is not known: {material!r} is no material of the tables, or only the face of the board."
        case SagUnknown.TOO_THICK:
            return f"Its sag is not known: the table of {material!r} ends below the thickness of its board."
        case SagUnknown.NO_SIZE:
            return "Its sag is not known: its width, its depth or the thickness of its board is not recorded."
        case other:
            assert_never(other)


def _floors(floors: tuple[FloorLoad, ...]) -> str:
    return ", ".join(f"{floor.use} ({_range(floor)}, {floor.code})" for floor in floors)


def _range(floor: FloorLoad) -> str:
    if floor.least_kpa == floor.most_kpa:
        return f"{floor.least_kpa:.2f} kPa"
    return f"{floor.least_kpa:.1f} to {floor.most_kpa:.1f} kPa"
