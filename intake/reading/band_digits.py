"""Digits read band by band, each by its own width, where folds, glare and creases spoil every row somewhere else.

A row of a symbol under wrinkled film is hidden here and shifted there, so that no row is whole and no smooth curve goes
through all of its edges. But a digit is two bars in seven modules, and tells itself where these are seen: it is read in
each band in which its own edges are in place, whatever its neighbours look like there, and the bands are counted
together.

1. Guards at both ends, in the same band or in neighbouring ones, tell about where the symbol lies.
2. In each band, each digit is looked for at its place: five edges, of which the first and the last are about where they
   should be. The three between are compared with those of all codes. Bars may be wider or narrower than printed.
3. The places found give a better curve, with the slant of the bars, and digits are looked for once more.
4. The bands' likelihoods are added up, of many bands no more than `BANDS` of them count, as neighbours err alike; then
   the likeliest rows of digits are found, with parity and check digit.

**When a number is said**: every digit but one was seen in `FEWEST` bands at least, neighbours share an edge, most bands
agree with what they say together, and the digits that fit best of all have a right check digit without being chosen for
it, which one row of digits in 64 has by chance, with its parity. Its probability of error is that of the likeliest
others; those with a wrong check digit are as likely beforehand as `calibration.SPOILT` says. Alone it is a question; a
decoder that reads the same, or the print, makes it an answer. With a digit hidden the proof is used up, and it is worth
less.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from intake.model.readings import Point
from intake.reading.band_places import Edges, Flags, edges_of_bands, likely_places
from intake.reading.bar_edges import INNER
from intake.reading.calibration import SPOILT
from intake.reading.fuse import ProfileEvidence
from intake.reading.geometry import Grey, map_points
from intake.reading.grey_profile import BAND_PX, SIDE, WIDTH_PX, to_bands
from intake.reading.likelihood import likeliest_rows
from intake.reading.profile_fit import Doubles
from intake.reading.rectify import rectify
from intake.reading.symbologies import EAN13, number_of

TALLEST_PX = 200
NEAR, NEARER = 1.6, 1.1
"""How far from its place a digit may begin and end, in modules, at first and once the curve is known."""
STRETCHED = 0.22
"""How much wider or narrower than seven modules a digit may be, as a share."""
EDGE, SPREAD = 0.17, 0.2
"""Standard deviations in modules: of an edge, and of how much wider bars are than printed."""
LOST = 0.02
"""Chance that edges are of something else."""
CLEAR = float(np.log(0.2))
"""Least likelihood of the likeliest code; where it is less, something lies over the digit."""
BANDS = 4.0
FEWEST = 2
FEWEST_SLOTS = 5
"""Digits seen anywhere from which a better curve is told."""
RIVALS, BEAM = 12, 400
"""Rows of digits with which the likeliest is compared, and partial rows that are kept."""
LEAST_ERROR = 3e-5
"""Alone the bands are a question, for which one vote of a decoder or the print is enough: of 100 pictures of halves,
covered and scratched symbols one would have been misread, before neighbours had to share an edge."""
AWRY = 0.6
"""Most modules by which neighbouring digits may lie apart."""
MOST_HIDDEN, HIDDEN_ERROR = 1, 1e-2
"""Digits that may be hidden in all bands, and what the number is then worth: its check digit is used up, and one parity
row in six is legal by chance. It is a question that the number printed below the bars can answer."""
AGREE = 0.8
"""Least share of the bands that say what they say together."""
STRAY = 1.3
"""How far from the curve the digits of all bands together may begin, in modules."""

HALF = EAN13.modules / 2
STARTS = np.array(EAN13.slots, np.float64)
RIGHT = STARTS > 47
"""Digits of the right half begin with a bar."""


@dataclass(frozen=True, eq=False)
class Seen:
    """What the bands say of each digit.

    Attributes:
        likelihoods: (bands, slots, 30), in nats below the best possible; 0 for all codes where nothing was seen.
        ends: (bands, slots, 2), where each digit begins and ends, nan where nothing was seen.
    """

    likelihoods: Doubles
    ends: Doubles

    def there(self) -> Flags:
        """Return where digits were seen, (bands, slots)."""
        return np.isfinite(self.ends[:, :, 0])


def read_bands(grey: Grey, corners: tuple[Point, ...]) -> ProfileEvidence | None:
    """Read an EAN-13 or UPC-A from the bands of a region; None where no number is sure.

    Args:
        grey: the picture, uint8, height by width.
        corners: of the region, clockwise, the first edge across the bars.
    """
    crop = rectify(grey, corners, WIDTH_PX, side=SIDE, tallest_px=TALLEST_PX)
    bands = to_bands(crop.grey)
    forward = edges_of_bands(bands)
    width, readings = bands.shape[1], []
    for turned in (False, True):
        edges = [each.turn(width) for each in forward] if turned else forward
        best = best_seen(edges)
        answer = decided(best[1], module=best[0][1] / HALF) if best else None
        if best and answer:
            outline = outline_of(best[0], width, len(bands), turned=turned)
            readings.append(ProfileEvidence((answer[0],), answer[1], map_points(outline, crop.to_picture), ("edges",)))
    return readings[0] if len(readings) == 1 else None


def outline_of(curve: Doubles, width: int, bands: int, *, turned: bool) -> list[Point]:
    """Return the corners of a symbol in pixels of the crop, clockwise from its own top left."""
    ends = ((0, 0.0), (EAN13.modules, 0.0), (EAN13.modules, bands - 1.0), (0, bands - 1.0))
    quad = [(float(place(curve, u, row)), (row + 0.5) * BAND_PX) for u, row in ends]
    if turned:  # its own top is the crop's lower edge
        quad = [(width - 1 - quad[i][0], quad[i][1]) for i in (3, 2, 1, 0)]
    return quad


def best_seen(edges: list[Edges]) -> tuple[Doubles, Seen] | None:
    """Return the curve on which most digits are seen, and what is seen there; None where guards tell of no place."""
    found = []
    for curve in likely_places(edges):
        seen = digits_seen(edges, curve, NEAR)
        found.append((worth(seen), curve, seen))
    if not found:
        return None
    _, curve, seen = max(found, key=lambda each: each[0])
    for near in (NEAR, NEARER, NEARER):
        better = refined(curve, seen)
        if better is None:
            return None
        curve, seen = better, digits_seen(edges, better, near)
    return (curve, seen) if is_smooth(curve, seen) else None


def worth(seen: Seen) -> float:
    """Return how much is seen: of each digit, how sure a few bands are."""
    sure = np.sort(np.exp(seen.likelihoods.max(axis=2)) * seen.there(), axis=0)
    return float(sure[-3:].sum())


def place(curve: Doubles, u: float | Doubles, row: float | Doubles) -> Doubles:
    """Return the sample at which a module of the symbol lies in a band."""
    v = np.asarray(u, np.float64) / HALF - 1
    return np.asarray(terms(v, np.asarray(row, np.float64)) @ curve)


def terms(v: Doubles, row: Doubles) -> Doubles:
    """Return the terms of the curve: of third degree along the symbol, its bars slanting and fanning out."""
    v, row = np.broadcast_arrays(v, row / 10)
    return np.stack([np.ones_like(v), v, v**2 - 1, v**3 - v, row, row * v], axis=-1)


def digits_seen(edges: list[Edges], curve: Doubles, near: float) -> Seen:
    """Look for each digit at its place in each band."""
    count, most = len(edges), max(5, *(len(each.at) for each in edges))
    at, begins = np.full((count, most), np.inf), np.zeros((count, most), bool)
    for row, each in enumerate(edges):
        at[row, : len(each.at)], begins[row, : len(each.at)] = each.at, each.begins
    rows = np.arange(count, dtype=np.float64)[:, None]
    begin, end = place(curve, STARTS, rows), place(curve, STARTS + 7, rows)
    module = np.maximum((end - begin)[:, :, None] / 7, 1e-3)
    first, last = at[:, None, :-4], at[:, None, 4:]
    with np.errstate(invalid="ignore"):
        off = np.maximum(np.abs(first - begin[:, :, None]), np.abs(last - end[:, :, None])) / module
        stretched = np.abs((last - first) / module / 7 - 1) > STRETCHED
    off[(begins[:, None, :-4] != RIGHT[:, None]) | stretched | np.isnan(off)] = np.inf
    best = off.argmin(axis=2)
    band, slot = np.nonzero(np.take_along_axis(off, best[:, :, None], axis=2)[:, :, 0] < near)
    five = at[band[:, None], best[band, slot][:, None] + np.arange(5)]
    likely = code_likelihoods(five, RIGHT[slot])
    clear = likely.max(axis=1) > CLEAR
    likelihoods, ends = np.zeros((count, len(STARTS), 30)), np.full((count, len(STARTS), 2), np.nan)
    likelihoods[band[clear], slot[clear]] = likely[clear]
    ends[band[clear], slot[clear]] = five[clear][:, [0, 4]]
    return Seen(likelihoods, ends)


def code_likelihoods(edges: Doubles, right: Flags) -> Doubles:
    """Return the logarithm of the likelihood of each code, (digits, 30), given the five edges of each, (digits, 5)."""
    inner = (edges[:, 1:4] - edges[:, :1]) * 7 / (edges[:, 4:] - edges[:, :1])
    first, middle, last = np.moveaxis(inner[:, None] - INNER, 2, 0)
    wider = (first + last) ** 2 / 2 / (1 + 2 * (SPREAD / EDGE) ** 2)
    cost = middle**2 + (first - last) ** 2 / 2 + wider
    likely = np.exp(-cost / (2 * EDGE**2))
    likely[right[:, None] != (np.arange(30) >= 20)] = 0
    return np.asarray(np.log(likely + LOST))


def refined(curve: Doubles, seen: Seen) -> Doubles | None:
    """Return the curve through the places where digits were seen, without those far from it; None where too few are."""
    rows, slots = np.nonzero(seen.there())
    if len(set(slots.tolist())) < FEWEST_SLOTS:
        return None
    u = np.concatenate([STARTS[slots], STARTS[slots] + 7])
    x, row = seen.ends[rows, slots].T.ravel(), np.concatenate([rows, rows]).astype(np.float64)
    design = terms(u / HALF - 1, row)
    kept = np.ones(len(x), bool)
    for _ in range(4):
        if kept.sum() < 12:
            return None
        penalty = np.diag([0, 0, 0.02, 0.2, 0.02, 0.2]) * kept.sum()
        weighted = design[kept]
        curve = np.linalg.solve(weighted.T @ weighted + penalty, weighted.T @ x[kept])
        off = np.abs(x - design @ curve)
        kept = off < max(2.5 * float(np.median(off)), 0.6 * curve[1] / HALF)
    return curve


def is_smooth(curve: Doubles, seen: Seen) -> bool:
    """Return whether digits of all bands together lie on the curve: where some are covered, others seem to be moved."""
    rows = np.arange(len(seen.ends), dtype=np.float64)[:, None]
    off = (seen.ends[:, :, 0] - place(curve, STARTS, rows)) / (curve[1] / HALF)
    return all(abs(float(np.median(each[np.isfinite(each)]))) < STRAY for each in off.T if np.isfinite(each).any())


def decided(seen: Seen, *, module: float) -> tuple[str, float] | None:
    """Return the number that the bands say and the probability that it is wrong, by the rule above; None for none."""
    there = seen.there()
    count = there.sum(axis=0)
    hidden = count < FEWEST
    steps = steps_between(seen, module)
    if hidden.sum() > MOST_HIDDEN or any(abs(step) > AWRY for step in steps if step is not None):
        return None
    totals = -seen.likelihoods.sum(axis=0) * np.minimum(1, BANDS / np.maximum(count, 1))[:, None]
    totals[hidden] = 0
    digits, rows, misfits = likeliest_rows(0.0, totals, None, EAN13, most=RIVALS, beam=BEAM)
    if not agrees(seen, digits[0], int(rows[0])):
        return None
    error = float(np.exp(misfits[0] - misfits[1:]).sum())
    if not hidden.any():
        *_, spoilt = likeliest_rows(0.0, totals, None, EAN13, most=RIVALS, beam=BEAM, valid=False)
        if misfits[0] > spoilt[0]:
            return None
        error += float(SPOILT / 9 * np.exp(misfits[0] - spoilt).sum())
    return number_of(EAN13, digits[0], int(rows[0])), max(
        error, HIDDEN_ERROR if hidden.any() or None in steps else LEAST_ERROR
    )


def steps_between(seen: Seen, module: float) -> list[float | None]:
    """Return how far each digit begins from where the one before it ends, in modules; None where no band shows both.

    Neighbours share an edge, and between the halves lies a guard of five modules: of halves of two symbols, or where a
    guard was taken for a digit, they do not.
    """
    gaps = (seen.ends[:, 1:, 0] - seen.ends[:, :-1, 1]) / module - (np.diff(STARTS) - 7)
    both = (column[np.isfinite(column)] for column in gaps.T)
    return [float(np.median(column)) if len(column) else None for column in both]


def agrees(seen: Seen, digits: npt.NDArray[np.uint8], row: int) -> bool:
    """Return whether most bands say the digits that they say together."""
    codes = 10 * EAN13.parities[row].astype(np.intp) + digits
    own = np.take_along_axis(seen.likelihoods, codes[None, :, None], axis=2)[:, :, 0]
    return bool((own >= seen.likelihoods.max(axis=2) - 1e-9)[seen.there()].mean() >= AGREE)
