"""The edge reader: where along a pooled line ink begins and ends, and which number has its edges there.

A decoder compares the width of a bar with those of its neighbours or of the guard, and so fails where modules become
narrower along the symbol: on a book's spine, in strong perspective, in a wrinkle. But every digit has two bars in seven
modules, so that counting edges tells where in the symbol each lies. A smooth curve is fitted through the edges at the
bounds of digits and in the guards, whose modules are known; the edges between are read off the curve, and the digits
are those whose edges are nearest. Then the curve is fitted again, through all edges.

**When a number is accepted**: it has as many edges as the symbol, with paper beyond both ends; check digit and parity
are right; and no edge is farther from the curve than `WORST` of a module there. Two numbers with right check digits
differ in at least two digits, by a whole module at some edge, which the curve can absorb in part: of numbers wrong in
one digit and the check digit, fitted to generated pictures, the nearest left 0.59 modules and 99 % left 0.79 or more;
of the true ones three in four left less than 0.21.

**A damaged symbol**, scratched or joined from two, is one whose edges are all at the places of digits, within half of
`WORST`, but whose check digit is wrong. A decoder that tries row after row until the check digit is right makes up a
number there.

The line may be inverted, light bars on dark ground: paper is what lies beyond both ends.

Bars that blur has merged cannot be counted, and are left to `intake.reading.grey_level`. A UPC-E of number system 1 is
not read, because the left half of an EAN-13 looks like one.

Source: GS1 General Specifications, 5.2.1 to 5.2.3 (number sets, guards, UPC-E and its parities).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from intake.reading.geometry import Floats
from intake.reading.symbologies import CODES, EAN8, EAN13, UPCE, Symbology, number_of

Doubles = npt.NDArray[np.float64]

WINDOW = 91
"""Samples over which the darkest and lightest levels are taken: about 15 modules of a symbol that fills its region."""
SHARPENED = (0.0, 1.0, 3.0, 6.0)
"""Amounts of sharpening that are tried in turn: multiples of the detail that a Gaussian of `SIGMA` samples removes."""
SIGMA = 3.2
PLAIN = 0.5
"""A worst edge below this share of the allowed distance ends the search."""
SWING = 0.03
"""How far a line must go beyond the middle, as a share of its range: less is noise."""
FAINTEST = 0.25
"""Least contrast, as a share of the typical one, at which bars are recognised."""
BLANK = 2.3
"""Paper this many times as wide as the mean of `NEAR` bars and spaces (1.6 modules) may be a quiet zone."""
NEAR = 8
WORST = {"EAN-13": 0.4, "EAN-8": 0.3, "UPC-E": 0.3}
"""Greatest distance of any edge from its place, in modules; texture more easily resembles a short symbol."""
DEGREES = {"EAN-13": 5, "EAN-8": 4, "UPC-E": 4}
"""Degrees of the curve: 5 follows a symbol bent round half a cylinder to a twentieth of a module."""
STEADY = 0.2
"""Narrowest module, as a share of the mean."""


@dataclass(frozen=True, eq=False)
class EdgeLayout:
    """Where the edges of one symbology lie.

    Attributes:
        count: number of edges.
        known: indices of the edges that every number has, and the module at which each lies.
        first: index of the edge at which each digit begins.
        fitting: from the known edges to the curve's coefficients, (coefficients, known).
        leaving: from the known edges to how far the curve misses each, (known, known).
        fine: the curve's terms at every tenth of a module, (places, coefficients without the last).
    """

    symbology: Symbology
    count: int
    known: tuple[npt.NDArray[np.intp], Doubles]
    first: npt.NDArray[np.intp]
    fitting: Doubles
    leaving: Doubles
    fine: Doubles


def basis(modules: Doubles, symbology: Symbology) -> Doubles:
    """Return the powers of the position in the symbol, scaled to -1 … 1, (modules, degree + 1)."""
    return np.vander(2 * modules / symbology.modules - 1, DEGREES[symbology.name] + 1, increasing=True)


def curve_terms(which: npt.NDArray[np.intp], modules: Doubles, symbology: Symbology) -> Doubles:
    """Return the terms of the curve at edges, (edges, coefficients); the last is how far ink spreads."""
    spread = np.where(which % 2, 1.0, -1.0)[:, None]
    return np.concatenate([basis(modules, symbology), spread], axis=1)


def edge_layout(symbology: Symbology) -> EdgeLayout:
    """Derive the edges of a symbology from two numbers: an edge that both have, every number has."""
    rows = np.zeros(2, np.intp)
    digits = np.array([[0], [8]], np.uint8).repeat(len(symbology.slots), axis=1)
    first_edges, second_edges = (edges_of(bits) for bits in symbology.bits(digits, rows))
    bounds = [slot + side for slot in symbology.slots for side in (0, 7)]
    inside = np.array([any(slot < at < slot + 7 for slot in symbology.slots) for at in first_edges])
    known = np.nonzero(~inside & np.isin(first_edges, [*bounds, *second_edges]))[0]
    first_edge = np.array([int(np.nonzero(first_edges == slot)[0][0]) for slot in symbology.slots], np.intp)
    design = curve_terms(known, first_edges[known], symbology)
    fitting = np.asarray(np.linalg.pinv(design), np.float64)
    fine = basis(np.linspace(0, symbology.modules, 10 * symbology.modules + 1), symbology)
    leaving = np.eye(len(known)) - design @ fitting
    return EdgeLayout(symbology, len(first_edges), (known, first_edges[known]), first_edge, fitting, leaving, fine)


def edges_of(bits: npt.NDArray[np.uint8]) -> Doubles:
    """Return the modules at which ink begins and ends, alternately."""
    return np.nonzero(np.diff(np.pad(bits.astype(np.int8), 1)))[0].astype(np.float64)


INNER = np.array([np.nonzero(np.diff(code.astype(np.int8)))[0] + 1 for code in CODES], np.float64)
"""The three edges inside each code, (30, 3), in modules from its start."""
LAYOUTS = {plan.count: plan for plan in map(edge_layout, (EAN13, EAN8, UPCE))}


@dataclass(frozen=True, slots=True)
class EdgeReading:
    """A number read from edges.

    Attributes:
        number: 13 digits; "" for a damaged symbol.
        misprint: the 13 digits of a damaged symbol, whose check digit is wrong; else "".
        worst: greatest distance of an edge from its place, as a share of what is allowed.
        ends: the samples at which the symbol's own left and right ends lie.
    """

    number: str
    worst: float
    ends: tuple[float, float]
    misprint: str = ""


def read_edges(values: Floats) -> EdgeReading | None:
    """Read a symbol from the edges along a line across it.

    Args:
        values: (n,), a profile of `intake.reading.grey_profile`.

    Returns:
        The number whose edges fit best, "" for those of digits with a wrong check digit; None where no number is
        accepted, or more than one.
    """
    readings: list[EdgeReading] = []
    for line in sharpened_lines(values):
        readings += [reading for runs in edge_runs(line) for reading in read_runs(runs)]
        if any(reading.number and reading.worst < PLAIN for reading in readings):
            break
    readings = [reading for reading in readings if reading.number] or readings
    if len({reading.number for reading in readings}) != 1:
        return None
    return min(readings, key=lambda reading: reading.worst)


def sharpened_lines(values: Floats) -> Iterator[Floats]:
    """Yield the line relative to the middle of its local range, with each amount of sharpening."""
    row = values[None].astype(np.float32)
    detail = row - cv2.GaussianBlur(row, (0, 0), SIGMA)
    kernel = np.ones((1, WINDOW), np.uint8)
    for amount in SHARPENED:
        sharp = row + amount * detail
        low = cv2.blur(cv2.erode(sharp, kernel), (WINDOW, 1))
        high = cv2.blur(cv2.dilate(sharp, kernel), (WINDOW, 1))
        span = high - low
        yield ((sharp - (low + high) / 2) / np.maximum(span, FAINTEST * np.percentile(span, 80) + 1e-3))[0]


def edge_runs(line: Floats) -> Iterator[Doubles]:
    """Yield the edges, in samples, of stretches between two blanks with as many edges as a symbol has, by number."""
    at, begins = crossings(line)
    if len(at) < min(LAYOUTS):
        return
    # There may be paper beyond the ends of the line too.
    at = np.concatenate([[0.0], at, [len(line) - 1.0]])
    ink = np.concatenate([[not begins[0]], begins])
    gaps = np.diff(at)
    wide = gaps > BLANK * usual_gap(gaps)
    for count in LAYOUTS:
        both = wide[:-count] & wide[count:] & (ink[:-count] == ink[count:])
        begins_after = np.nonzero(both)[0]
        if len(begins_after):
            yield at[begins_after[:, None] + np.arange(1, count + 1)]


def usual_gap(gaps: Doubles) -> Doubles:
    """Return the mean of the `NEAR` gaps before each, or of those after it, whichever is less."""
    sums = np.concatenate([np.zeros(NEAR + 1), np.cumsum(gaps), np.full(NEAR, np.inf)])
    count = len(gaps)
    before = (sums[NEAR : NEAR + count] - sums[:count]) / NEAR
    after = (sums[2 * NEAR + 1 : 2 * NEAR + 1 + count] - sums[NEAR + 1 : NEAR + 1 + count]) / NEAR
    before[:NEAR] = np.inf
    return np.asarray(np.minimum(before, after))


def crossings(line: Floats) -> tuple[Doubles, npt.NDArray[np.bool_]]:
    """Return where a line crosses its middle by more than `SWING` on both sides, and whether ink begins there."""
    sure = np.nonzero(np.abs(line) > SWING)[0]
    ink = line > 0
    change = np.nonzero(ink[sure[1:]] != ink[sure[:-1]])[0]
    before, after = sure[change], sure[change + 1]
    zeros = np.nonzero(ink[1:] != ink[:-1])[0]
    where = zeros + line[zeros] / (line[zeros] - line[zeros + 1])
    first = where[np.searchsorted(zeros, before)]
    last = where[np.searchsorted(zeros, after) - 1]
    return (first + last) / 2, ink[after]


def read_runs(runs: Doubles) -> Iterator[EdgeReading]:
    """Yield the readings of stretches of as many edges, (stretches, edges), each read from either end."""
    layout = LAYOUTS[runs.shape[1]]
    for turned, lines in ((False, runs), (True, -runs[:, ::-1])):
        for i in promising(lines, layout):
            decoded = decode_run(lines[i], layout)
            if decoded is not None and decoded[1] < 1:
                number, worst, valid = decoded
                first, last = float(runs[i, 0]), float(runs[i, -1])
                ends = (last, first) if turned else (first, last)
                yield EdgeReading(number, worst, ends) if valid else EdgeReading("", worst, ends, number)


def promising(lines: Doubles, layout: EdgeLayout) -> npt.NDArray[np.intp]:
    """Return which stretches may be a symbol: their known edges lie near a curve that does not fold.

    A curve through all edges that misses none by more than is allowed misses the known ones by no more, and the one
    through the known ones alone misses them by less.
    """
    known = lines[:, layout.known[0]]
    steps = np.diff(known @ layout.fitting[:-1].T @ layout.fine.T, axis=1)
    missed = np.sqrt(np.mean((known @ layout.leaving.T) ** 2, axis=1)) / (10 * steps.max(axis=1))
    even = steps.min(axis=1) >= STEADY * steps.mean(axis=1)
    return np.nonzero(even & (missed < WORST[layout.symbology.name]))[0]


def decode_run(edges: Doubles, layout: EdgeLayout) -> tuple[str, float, bool] | None:
    """Return the number of the edges, its `worst`, and whether its check digit is right; None where there is none."""
    symbology = layout.symbology
    factors = layout.fitting @ edges[layout.known[0]]
    samples = layout.fine @ factors[:-1]
    spread = symbology.modules * factors[-1] / (samples[-1] - samples[0])
    places = np.interp(edges, samples, np.linspace(0, symbology.modules, len(samples)))
    places -= np.where(np.arange(layout.count) % 2, spread, -spread)
    inner = np.stack([places[layout.first + i] for i in (1, 2, 3)], axis=1) - np.array(symbology.slots)[:, None]
    cost = ((inner[:, None] - INNER) ** 2).sum(axis=2).reshape(len(inner), 3, 10)
    sets = symbology.parities
    slots = np.arange(len(inner))
    row = int(cost.min(axis=2)[slots, sets].sum(axis=1).argmin())
    digits = cost[slots, sets[row]].argmin(axis=1).astype(np.uint8)
    drawn = edges_of(symbology.bits(digits[None], np.array([row]))[0])
    worst = worst_offset(edges, drawn, symbology) / WORST[symbology.name]
    valid = bool(symbology.valid(digits[None], np.array([row]))[0])
    damaged = worst < PLAIN and symbology is not UPCE
    return (number_of(symbology, digits, row), worst, valid) if valid or damaged else None


def worst_offset(edges: Doubles, modules: Doubles, symbology: Symbology) -> float:
    """Return the greatest distance of an edge from the curve through all edges, in modules there."""
    terms = curve_terms(np.arange(len(edges)), modules, symbology)
    factors = np.linalg.lstsq(terms, edges, rcond=None)[0]
    width = np.gradient(terms[:, :-1] @ factors[:-1], modules)
    off = np.abs(edges - terms @ factors)
    return float((off / np.maximum(width, 1e-3)).max()) if width.min() > 0 else np.inf
