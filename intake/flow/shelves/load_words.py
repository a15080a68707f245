"""Words about loads: how shelves sag, what a bookcase puts on the floor, what books need more than a shelf has."""

from collections.abc import Sequence
from typing import assert_never

from intake.shelving.boards import EC5, Board
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
from intake.units.language import say, term
from intake.units.local_forms import figures

ANCHOR = term("Anchor the bookcase to the wall and put the heavy books low.")
ENGINEER = term(
    "National and local building codes and a structural engineer decide what a floor can bear: ask one before a wall "
    "is filled with books, above all in an old house."
)
TOP_HEAVY = term("Its upper half carries more than its lower half.")
SAG_BASIS = term(
    "Sags are of the bare board under its books, by the least stiffness of its material, and grow over the years by "
    "1 + k_def of EN 1995-1-1."
)


def floor_loads_words() -> str:
    """Write what the codes design floors for."""
    floors = "; ".join(f"{say(floor.use)} {_range(floor)} ({say(floor.code)})" for floor in FLOOR_LOADS)
    return say("Whole floors are designed for: {floors}.", floors=floors)


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
        visible = term("Over the years it may sag by {sag} mm, which is visible (more than {least} mm); {board}.")
        least = figures(span * VISIBLE, 1)
        cautions.append(say(visible, sag=figures(late, 1), least=least, board=_board_words(board)))
    if load.beyond_woodwork and span and load.sag_mm:
        cautions.append(
            say(
                "It may sag by {sag} mm at once, more than the longest shelves of the Architectural Woodwork Standards "
                "(L/144, {most} mm): support it in the middle, or load it less.",
                sag=figures(load.sag_mm, 1),
                most=figures(span * WOODWORK, 1),
            )
        )
    return tuple(cautions)


def _board_words(board: Board) -> str:
    """Write by which tables a board sags."""
    sources = f"{say(board.modulus_source)}; {say(EC5)}, {say(board.creep_source)}"
    return f"{say(board.name)}: {sources}, k_def {figures(board.creep, 2)}"


def floor_words(load: BookcaseLoad) -> str:
    """Write what a bookcase puts on the floor, and what of it is not known."""
    what = say("Books and bookcase") if load.own_mass else say("Books")
    mass = f"{what} {_mass_words(load.mass_g, estimated=bool(load.estimated))}"
    if not load.own_mass:
        mass = say("{books}, without the bookcase, whose mass is not known", books=mass)
    if load.pressure_kpa is None and load.spread_kpa is None:
        return say("{mass}; its load on the floor is not known, because its outer size is not.", mass=mass)
    loads = []
    if load.pressure_kpa is not None:
        loads.append(say("{load} kPa on its footprint", load=figures(load.pressure_kpa, 2)))
    if load.spread_kpa is not None:
        spread = term("{load} kPa spread over {strip} m from the wall")
        loads.append(say(spread, load=figures(load.spread_kpa, 2), strip=figures(mm_to_m(STRIP_MM), 1)))
    return f"{mass}: {', '.join(loads)}."


def floor_cautions(load: BookcaseLoad) -> tuple[str, ...]:
    """Write which floors are designed for less than a bookcase puts on them; one sentence each."""
    cautions = []
    spread = exceeded_by(load.spread_kpa) if load.spread_kpa is not None else ()
    if spread:
        cautions.append(
            say(
                "Even spread over {strip} m it loads the floor more than it may be designed for in {floors}. Ask a "
                "structural engineer.",
                strip=figures(mm_to_m(STRIP_MM), 1),
                floors=_floors(spread),
            )
        )
    beneath = exceeded_by(load.pressure_kpa) if load.pressure_kpa is not None else ()
    if beneath and beneath[-1] is FLOOR_LOADS[-1]:
        above = term("On its footprint its load is above {floors}. Ask a structural engineer.")
        cautions.append(say(above, floors=_floors(beneath[-2:])))
    return tuple(cautions)


def excess_words(excess: Excess, shelf: str) -> str:
    """Write one limit of a shelf that is exceeded.

    Args:
        excess: the limit.
        shelf: how the shelf is called ("A 3").

    >>> excess_words(Excess(ShelfLimit.LENGTH, 815.0, 800.0, estimated=True), "A 3")
    'The books on A 3 need 815 mm and have 800 mm; some of these sizes are estimated.'
    """
    estimated = say("; some of these sizes are estimated") if excess.estimated else ""
    needs, has = figures(excess.needs, 0), figures(excess.has, 0)
    tallest = f"{needs} mm" if len(excess.copies) == 1 else say("up to {most} mm", most=needs)
    them = {"shelf": shelf, "has": has, "estimated": estimated}
    of_copies = {**them, "copies": say(" and ").join(excess.copies), "tallest": tallest}
    match excess.limit:
        case ShelfLimit.LENGTH:
            return say("The books on {shelf} need {needs} mm and have {has} mm{estimated}.", needs=needs, **them)
        case ShelfLimit.HEIGHT:
            return say("{shelf} is {has} mm high, too low for {copies} ({tallest} high{estimated}).", **of_copies)
        case ShelfLimit.DEPTH:
            return say("{shelf} is {has} mm deep, less than {copies} ({tallest} deep{estimated}).", **of_copies)
        case ShelfLimit.LOAD:
            mass, most = _mass_words(excess.needs, estimated=excess.estimated), kg_text(excess.has)
            return say(
                "{shelf} carries {mass}, more than the {most} that its maker allows.", shelf=shelf, mass=mass, most=most
            )
        case limit:
            assert_never(limit)


def _mass_words(mass_g: float, *, estimated: bool) -> str:
    return say("about {mass}", mass=kg_text(mass_g)) if estimated else kg_text(mass_g)


def _unknown_words(why: SagUnknown, material: str) -> str:
    match why:
        case SagUnknown.NO_MATERIAL:
            return say("Its sag is not known: the material of its board is not recorded.")
        case SagUnknown.NOT_IN_TABLE:
            unlisted = term(
                "Its sag is not known: {material!r} is no material of the tables, or only the face of the board."
            )
            return say(unlisted, material=material)
        case SagUnknown.TOO_THICK:
            thick = term("Its sag is not known: the table of {material!r} ends below the thickness of its board.")
            return say(thick, material=material)
        case SagUnknown.NO_SIZE:
            return say("Its sag is not known: its width, its depth or the thickness of its board is not recorded.")
        case other:
            assert_never(other)


def _floors(floors: tuple[FloorLoad, ...]) -> str:
    return ", ".join(f"{say(floor.use)} ({_range(floor)}, {say(floor.code)})" for floor in floors)


def _range(floor: FloorLoad) -> str:
    if floor.least_kpa == floor.most_kpa:
        return f"{figures(floor.least_kpa, 2)} kPa"
    return say("{least} to {most} kPa", least=figures(floor.least_kpa, 1), most=figures(floor.most_kpa, 1))
