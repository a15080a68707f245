"""The edge reader: where along a pooled line ink begins and ends, and which number has its edges just there.

A decoder compares the widths of bars with those of its neighbours or of the guard, and so fails where modules shrink
along the symbol: on a book's spine, in strong perspective, in a wrinkle. But a digit always has two bars in seven
modules, so that edges that are counted tell where in the symbol they lie: the edges at the bounds of digits and in the
guards are laid onto their modules by a smooth curve, the edges between are read off it, and the digits are those whose
edges come nearest. Then the curve is laid through all edges again.

**When a number is believed**: its edges are as many as the symbol has, with paper beyond both ends; check digit and
parity hold; and no edge lies farther from the curve than `WORST` of a module there. Two numbers with right check digits
differ in two digits at least, by a whole module at some edge, which the curve can take up in part: of numbers
wrong in one digit and the check, laid onto generated pictures, the nearest left 0.59 modules, and 99 % left 0.79;
of the true ones three in four left less than 0.21.

**A spoilt symbol**, scratched or put together of two, is one whose edges are all in the places of digits, within half
of `WORST`, but whose check fails. A decoder that tries row after row until the check holds makes up a number there.

The line may be negative, light bars on dark ground: paper is what lies beyond both ends.

Does not read what blur has run together: bars that are no longer told apart are not counted. That is for
`intake.reading.grey_level`. A UPC-E of number system 1 is not read: the left half of an EAN-13 looks like one.

Source: GS1 General Specifications, 5.2.1 to 5.2.3 (number sets, guards, UPC-E and its parities).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.symbol_forms import is_ean, written_out
from intake.reading.symbologies import CODES, EAN8, EAN13, FIRST_DIGIT, Digits, Symbology, fixed, number_of, sets_of

Doubles = npt.NDArray[np.float64]

WINDOW = 91
"""Samples over which darkest and lightest are looked for: some 15 modules of a symbol that fills its region."""
SHARPENED = (0.0, 1.0, 3.0, 6.0)
"""How much of what a Gaussian of `SIGMA` samples takes away is added, in one line after the other."""
SIGMA = 3.2
PLAIN = 0.5
"""The worst edge, as a share of what is allowed, within which no other line is asked."""
SWING = 0.03
"""How far, of the way from darkest to lightest, a line must go beyond the middle: less is noise."""
FAINTEST = 0.25
"""Of the usual contrast: where there is less, no bars are made of it."""
BLANK = 2.3
"""Paper so many times as wide as the `NEAR` bars and spaces beside it, 1.6 modules on average, may be a quiet zone."""
NEAR = 8
WORST = {"EAN-13": 0.4, "EAN-8": 0.3, "UPC-E": 0.3}
"""The farthest that any edge may lie from its place, in modules; texture is sooner like a short symbol."""
DEGREES = {"EAN-13": 5, "EAN-8": 4, "UPC-E": 4}
"""Of the curve: a symbol bent round half a cylinder is followed to a twentieth of a module by 5."""
STEADY = 0.2
"""The narrowest module, of the mean one."""


def upc_e_sets() -> npt.NDArray[np.uint8]:
    """Return the sets of the six digits by check digit, number system 0; sets that begin with A are those of 1."""
    other = str.maketrans("AB", "BA")
    return sets_of(["BBBAAA", *(row.translate(other) for row in FIRST_DIGIT[1:])])


def upc_e_valid(digits: Digits, rows: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Check that the parity row is the check digit of the written-out number."""
    return np.array([bool(upc_e_number(each, int(row))) for each, row in zip(digits, rows, strict=True)], np.bool_)


def upc_e_number(digits: Digits, row: int) -> str | None:
    """Return the 13 digits, or None where the check digit does not fit."""
    number = written_out(f"0{''.join(map(str, digits))}{row}")
    return number if number is not None and is_ean(number) else None


UPCE = Symbology(
    "UPC-E",
    51,
    (3, 10, 17, 24, 31, 38),
    fixed(51, {0: "101", 45: "010101"}),
    upc_e_sets(),
    upc_e_valid,
)


@dataclass(frozen=True, eq=False)
class EdgeLayout:
    """Where the edges of one symbology lie.

    Attributes:
        count: of edges.
        known: the edges that every number has, and the module where each lies.
        first: the edge at which each digit begins.
    """

    symbology: Symbology
    count: int
    known: tuple[npt.NDArray[np.intp], Doubles]
    first: npt.NDArray[np.intp]


def planned(symbology: Symbology) -> EdgeLayout:
    """LibraryWriter out the edges of a symbology from those of two numbers: what both have, all have."""
    rows = np.zeros(2, np.intp)
    digits = np.array([[0], [8]], np.uint8).repeat(len(symbology.slots), axis=1)
    one, other = (edges_of(bits) for bits in symbology.bits(digits, rows))
    bounds = [each + side for each in symbology.slots for side in (0, 7)]
    inside = np.array([any(slot < at < slot + 7 for slot in symbology.slots) for at in one])
    known = np.nonzero(~inside & np.isin(one, [*bounds, *other]))[0]
    first = np.array([int(np.nonzero(one == slot)[0][0]) for slot in symbology.slots], np.intp)
    return EdgeLayout(symbology, len(one), (known, one[known]), first)


def edges_of(bits: npt.NDArray[np.uint8]) -> Doubles:
    """Return the modules at which ink begins and ends, in turn."""
    return np.nonzero(np.diff(np.pad(bits.astype(np.int8), 1)))[0].astype(np.float64)


INNER = np.array([np.nonzero(np.diff(code.astype(np.int8)))[0] + 1 for code in CODES], np.float64)
"""The three edges inside each code, (30, 3), in modules from its beginning."""
PLANS = {plan.count: plan for plan in map(planned, (EAN13, EAN8, UPCE))}


@dataclass(frozen=True, slots=True)
class Edged:
    """A number read from edges.

    Attributes:
        number: 13 digits; "" for a spoilt symbol.
        worst: the farthest that an edge lies from its place, in modules, as a share of what is allowed.
        ends: the sample at which the symbol's own left end lies, and its right.
    """

    number: str
    worst: float
    ends: tuple[float, float]


def read_edges(values: Floats) -> Edged | None:
    """Read a symbol from the edges along a line across it.

    Args:
        values: (n,), as of `intake.reading.grey_profile`.

    Returns:
        The number of which the edges fit best; "" where they plainly are those of digits whose check fails; None where
        nothing is believed, or more than one number.
    """
    found: list[Edged] = []
    for line in lines(values):
        found += [each for run in runs(line) for each in readings(run)]
        if any(each.number and each.worst < PLAIN for each in found):
            break
    found = [each for each in found if each.number] or found
    if len({each.number for each in found}) != 1:
        return None
    return min(found, key=lambda each: each.worst)


def lines(values: Floats) -> Iterator[Floats]:
    """Yield the line about the middle between darkest and lightest near by, sharpened more and more."""
    row = values[None].astype(np.float32)
    detail = row - cv2.GaussianBlur(row, (0, 0), SIGMA)
    kernel = np.ones((1, WINDOW), np.uint8)
    for amount in SHARPENED:
        sharp = row + amount * detail
        low = cv2.blur(cv2.erode(sharp, kernel), (WINDOW, 1))
        high = cv2.blur(cv2.dilate(sharp, kernel), (WINDOW, 1))
        span = high - low
        yield ((sharp - (low + high) / 2) / np.maximum(span, FAINTEST * np.percentile(span, 80) + 1e-3))[0]


def runs(line: Floats) -> Iterator[Doubles]:
    """Yield the edges, in samples, of each stretch between two blanks that has as many as a symbol, black or white."""
    at, begins = crossings(line)
    if len(at) < min(PLANS):
        return
    # Beyond the ends of the line, too, there may be paper.
    at = np.concatenate([[0.0], at, [len(line) - 1.0]])
    ink = np.concatenate([[not begins[0]], begins])
    gaps = np.diff(at)
    wide = gaps > BLANK * usual(gaps)
    for count in PLANS:
        both = wide[:-count] & wide[count:] & (ink[:-count] == ink[count:])
        for before in np.nonzero(both)[0]:
            yield at[before + 1 : before + 1 + count]


def usual(gaps: Doubles) -> Doubles:
    """Return the mean of the few gaps before each, or of those after it, whichever is less."""
    sums = np.concatenate([np.zeros(NEAR + 1), np.cumsum(gaps), np.full(NEAR, np.inf)])
    count = len(gaps)
    before = (sums[NEAR : NEAR + count] - sums[:count]) / NEAR
    after = (sums[2 * NEAR + 1 : 2 * NEAR + 1 + count] - sums[NEAR + 1 : NEAR + 1 + count]) / NEAR
    before[:NEAR] = np.inf
    return np.asarray(np.minimum(before, after))


def crossings(line: Floats) -> tuple[Doubles, npt.NDArray[np.bool_]]:
    """Return where a line passes its middle, swinging well to both sides, and whether ink begins there."""
    sure = np.nonzero(np.abs(line) > SWING)[0]
    ink = line > 0
    change = np.nonzero(ink[sure[1:]] != ink[sure[:-1]])[0]
    before, after = sure[change], sure[change + 1]
    zeros = np.nonzero(ink[1:] != ink[:-1])[0]
    where = zeros + line[zeros] / (line[zeros] - line[zeros + 1])
    first = where[np.searchsorted(zeros, before)]
    last = where[np.searchsorted(zeros, after) - 1]
    return (first + last) / 2, ink[after]


def readings(run: Doubles) -> Iterator[Edged]:
    """Yield what the edges say, read from either end."""
    plan = PLANS[len(run)]
    for turned in (False, True):
        edges = -run[::-1] if turned else run
        found = decoded(edges, plan)
        if found is not None and found[1] < 1:
            ends = (float(run[-1]), float(run[0])) if turned else (float(run[0]), float(run[-1]))
            yield Edged(found[0], found[1], ends)


def decoded(edges: Doubles, plan: EdgeLayout) -> tuple[str, float] | None:
    """Read as many edges as the symbol has; return the number, "" if spoilt, and how far its worst edge is off."""
    symbology = plan.symbology
    which, modules = plan.known
    curve = laid(edges, which, modules, symbology)
    if curve is None:
        return None
    places = np.interp(edges, curve[0], np.linspace(0, symbology.modules, len(curve[0]))) - curve[1]
    inner = np.stack([places[plan.first + i] for i in (1, 2, 3)], axis=1) - np.array(symbology.slots)[:, None]
    cost = ((inner[:, None] - INNER) ** 2).sum(axis=2).reshape(len(inner), 3, 10)
    sets = symbology.parities
    slots = np.arange(len(inner))
    row = int(cost.min(axis=2)[slots, sets].sum(axis=1).argmin())
    digits = cost[slots, sets[row]].argmin(axis=1).astype(np.uint8)
    drawn = edges_of(symbology.bits(digits[None], np.array([row]))[0])
    worst = farthest(edges, drawn, symbology) / WORST[symbology.name]
    if symbology.valid(digits[None], np.array([row]))[0]:
        return (upc_e_number(digits, row) or "") if symbology is UPCE else number_of(symbology, digits, row), worst
    return ("", worst) if worst < PLAIN and symbology is not UPCE else None


def basis(modules: Doubles, symbology: Symbology) -> Doubles:
    """Return the powers of the place in the symbol, -1 to 1, (modules, degree + 1)."""
    return np.vander(2 * modules / symbology.modules - 1, DEGREES[symbology.name] + 1, increasing=True)


def solved(edges: Doubles, which: npt.NDArray[np.intp], modules: Doubles, symbology: Symbology) -> Doubles:
    """Lay the curve through edges; the last number is how far, in samples, ink reaches beyond its modules."""
    spread = np.where(which % 2, 1.0, -1.0)[:, None]
    design = np.concatenate([basis(modules, symbology), spread], axis=1)
    return np.asarray(np.linalg.lstsq(design, edges[which], rcond=None)[0])


def laid(
    edges: Doubles, which: npt.NDArray[np.intp], modules: Doubles, symbology: Symbology
) -> tuple[Doubles, Doubles] | None:
    """Return the samples at every tenth of a module, and the ink's spread at each edge in modules; None if it folds."""
    factors = solved(edges, which, modules, symbology)
    fine = np.linspace(0, symbology.modules, 10 * symbology.modules + 1)
    samples = basis(fine, symbology) @ factors[:-1]
    steps = np.diff(samples)
    if steps.min() < STEADY * steps.mean():
        return None
    spread = np.where(np.arange(len(edges)) % 2, 1.0, -1.0) * factors[-1] / (10 * steps.mean())
    return samples, spread


def farthest(edges: Doubles, modules: Doubles, symbology: Symbology) -> float:
    """Return how far the worst edge lies from the curve through all, in modules there."""
    which = np.arange(len(edges))
    factors = solved(edges, which, modules, symbology)
    width = np.gradient(basis(modules, symbology) @ factors[:-1], modules)
    off = np.abs(edges - basis(modules, symbology) @ factors[:-1] - np.where(which % 2, 1.0, -1.0) * factors[-1])
    return float((off / np.maximum(width, 1e-3)).max()) if width.min() > 0 else np.inf
