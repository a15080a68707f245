"""The supplement (add-on) right of a symbol whose number is known, read from grey levels.

Two digits are the issue of a periodical, five its issue and printing or the price of a book. In a blurred picture
decoders lose the supplement first, and it has little to detect a misread by. But every bar of the symbol beside it is
known, so that the width of a module, the blur, the contrast and the slant are known before the supplement is read:

1. The symbol is turned upright with what is to its right; rows are aligned by the symbol's own bars, and pooled where
   the rows to its right look alike too, because a supplement's bars begin lower, below its digits.
2. The known bars are fitted to the profile, which gives pose, blur and contrast; the slant is extrapolated.
3. At each gap that the standard allows, the likeliest digits of either length are fitted to the profile.
4. A supplement is believed only if it has the symbol's own module, blur and contrast, and fits closely at every digit:
   print, pictures and the bars of other symbols are common beside a symbol without a supplement.

Supplements of short symbols (EAN-8, UPC-E), and those left of, above or below a symbol, are not read.

Source: GS1 General Specifications, 5.2.2 (add-on symbols: gap of 7 to 12 modules, quiet zone of 5 at the right end).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from intake.model.readings import Point
from intake.reading.calibration import BELIEVED, WORST, error_chance, step_worth
from intake.reading.geometry import Floats, Grey, lengthen, map_points
from intake.reading.grey_profile import FEWEST, align_bands, alike_run, high_pass, pool_bands, to_bands, warp_band
from intake.reading.likelihood import likeliest_digits, profile_moments
from intake.reading.profile_fit import (
    BLUR,
    Doubles,
    Fit,
    SampleGrid,
    differences,
    fit_symbols,
    grids_of,
    worst_digit_misfit,
)
from intake.reading.rectify import Crop, rectify
from intake.reading.symbologies import ADD_ON_2, ADD_ON_5, EAN13, Bits, Symbology, ean13_bits

MODULE_PX = 6.0
SIDE = 11
"""Modules of paper left of the symbol in the profile: its quiet zone."""
BESIDE = 12 + 47 + 11
"""Modules right of it: the widest gap, the longest supplement and paper."""
TALLEST_PX = 64
OFF = np.arange(-2.4, 2.5, 0.8)
"""How far, in modules, each end of the symbol may lie from where the outline puts it."""
BENDS = np.array([-1.2, 0.0, 1.2])
GAPS = np.arange(6.5, 12.75, 0.5)
BEAM = 80
MOST = 12
FEW = 4
"""The most promising gaps, at which digits are fitted to the profile."""
HOPELESS, FAR = 0.3, 2
"""Greatest misfit of the best digits, with the symbol's own blur and contrast, at which any are fitted, and how many
times the believed one is not improved any further."""

CLOSE = {ADD_ON_2.name: 0.05, ADD_ON_5.name: 0.09}
"""Greatest misfit of a supplement; other things resemble two digits more easily than five."""
NEAREST, FARTHEST = 6.0, 13.0
"""Narrowest and widest gap, in modules."""
WIDER = 0.05
"""Greatest relative difference between its module and the symbol's: both are printed together."""
BLUNTER = 0.2
"""Greatest difference between its blur and the symbol's, in modules."""
PALEST, DARKEST = 0.6, 1.6
"""Least and greatest contrast, as a share of the symbol's."""
PAPER = 4
"""Modules of paper right of it that must be in the picture, so that five digits cut off are not read as two."""
BLURRED = 1.6
"""Blur of the symbol, in modules, beyond which anything resembles two digits."""


@dataclass(frozen=True, eq=False)
class SymbolFit:
    """The fit of a symbol, from which the pose of its supplement follows.

    Attributes:
        pose: of the symbol; see `intake.reading.profile_fit`.
        contrast: at its right end.
        misfit: of its own bars.
        kind: of the blur that explains them best, an index in `profile_fit.BLURS`.
    """

    pose: Doubles
    contrast: float
    misfit: float
    kind: int = 0

    def place(self, u: Doubles) -> Doubles:
        """Return the samples of points given in modules right of the symbol's left edge.

        The bend is taken to be that of a slanting view, which continues as w / (1 + q w), w from the symbol's middle.
        """
        half = EAN13.modules / 2
        at, module, bend = (float(value) for value in self.pose[:3])
        slant = -bend / half**2
        wide = module * (1 - (slant * half) ** 2)
        return np.asarray(at + module * (half - bend) + wide * (u - half) / (1 + slant * (u - half)))

    def pose_of(self, symbology: Symbology, gap: float) -> Doubles:
        """Return the pose of a supplement after a gap in modules."""
        start = EAN13.modules + gap
        left, middle, right = self.place(start + symbology.modules * np.array([0, 0.5, 1]))
        module = float(right - left) / symbology.modules
        bend = float(left + right - 2 * middle) / 2 / module
        return np.array([left, module, bend, 0, 0, float(self.pose[5]) * float(self.pose[1]) / module])


@dataclass(frozen=True, eq=False)
class SupplementProfile:
    """The profile of a symbol and of what is to its right.

    Attributes:
        values: (samples,), ink is high; `MODULE_PX` samples per module, the symbol's left edge at `SIDE` modules.
        end: number of samples inside the picture; beyond, its last column is repeated.
    """

    values: Floats
    end: float


@dataclass(frozen=True, eq=False)
class RankedSupplements:
    """Supplements of one length fitted to the profile beside a symbol.

    Attributes:
        texts: 2 or 5 digits each, best fit first.
        misfits: of each.
        believed: whether there is a supplement at all, judged by the symbol beside it.
        error: probability that the first is wrong, given that there is a supplement.
    """

    texts: tuple[str, ...]
    misfits: tuple[float, ...]
    believed: bool
    error: float


def read_supplement(grey: Grey, corners: tuple[Point, ...], number: str) -> tuple[str, float] | None:
    """Read the supplement of a symbol; None if none is believed.

    Args:
        grey: the picture, uint8, height by width.
        corners: the symbol's outline without its supplement, clockwise from its own top left.
        number: its 13 digits.

    Returns:
        2 or 5 digits, and the probability that they are wrong.
    """
    profile = pool_rows(grey, corners)
    if profile is None:
        return None
    symbol = fit_symbol(profile.values, number)
    if symbol.misfit > BELIEVED or symbol.pose[5] > BLURRED:
        return None
    believed = [
        ranked
        for ranked in (fit_supplement(profile, symbol, length) for length in (ADD_ON_2, ADD_ON_5))
        if ranked.believed
    ]
    return (believed[0].texts[0], believed[0].error) if len(believed) == 1 else None


def pool_rows(grey: Grey, corners: tuple[Point, ...]) -> SupplementProfile | None:
    """Pool the rows of a symbol and of what is to its right; None where no rows are alike on both sides."""
    width = round((EAN13.modules + BESIDE) * MODULE_PX)
    longer = lengthen(to_parallelogram(corners), 1 + BESIDE / EAN13.modules)
    crop = rectify(grey, longer, width, side=SIDE * MODULE_PX / width, tallest_px=TALLEST_PX)
    shown = columns_inside(crop, grey.shape)
    end = round((SIDE + EAN13.modules + 4) * MODULE_PX)
    if shown < end + NEAREST + ADD_ON_2.modules * MODULE_PX:
        return None
    bands = to_bands(crop.grey)
    high = high_pass(bands[:, :end])
    first, last = alike_run(high)
    if last - first < FEWEST:
        return None
    lined = np.stack([warp_band(bands[first + i], *warp) for i, warp in enumerate(align_bands(high, first, last))])
    start, stop = alike_run(high_pass(lined[:, end:]))
    return SupplementProfile(pool_bands(lined[start:stop]), shown) if stop - start >= FEWEST else None


def columns_inside(crop: Crop, shape: tuple[int, ...]) -> float:
    """Return how many columns of a crop, from the left, are inside the picture along its middle."""
    height, width = crop.grey.shape
    points = np.array(map_points([(float(x), height / 2) for x in range(width)], crop.to_picture))
    outside = np.nonzero((points < -0.5).any(axis=1) | (points > np.array(shape[::-1]) - 0.5).any(axis=1))[0]
    beyond = outside[outside > SIDE * MODULE_PX]
    return float(beyond[0]) if len(beyond) else float(width)


def to_parallelogram(corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the parallelogram nearest to an outline: extended to the right, a wedge would diverge."""
    a, b, c, d = (np.array(corner) for corner in corners)
    middle, across, down = (a + b + c + d) / 4, (b - a + c - d) / 4, (d - a + c - b) / 4
    quad = (middle - across - down, middle + across - down, middle + across + down, middle - across + down)
    return tuple((float(x), float(y)) for x, y in quad)


def fit_symbol(values: Floats, number: str) -> SymbolFit:
    """Fit the symbol's own bars to the profile."""
    bits = ean13_bits([number])
    begins = initial_poses(values, grids_of(EAN13)[0], bits)
    rows = np.repeat(bits, len(begins), axis=0)
    kinds = [fit_symbols(values, grid, rows, begins, rounds=6) for grid in grids_of(EAN13)]
    kind = int(np.argmin([fits.misfits.min() for fits in kinds]))
    fit = kinds[kind].row(int(np.argmin(kinds[kind].misfits)))
    return SymbolFit(fit.pose, float(fit.contrast.sum()), fit.misfit, kind)


def initial_poses(values: Floats, grid: SampleGrid, bits: Bits) -> Doubles:
    """Return the two poses near the outline, which is only approximate, that correlate best with the symbol's bars."""
    left, right, bend = (axis.ravel() for axis in np.meshgrid(OFF, OFF, BENDS))
    module = (1 + (right - left) / EAN13.modules) * MODULE_PX
    at = (SIDE + left) * MODULE_PX
    poses = np.stack([at, module, bend, np.zeros_like(at), np.zeros_like(at), np.full_like(at, BLUR)], axis=1)
    rise = differences(grid.sample(values, values, poses)[0])
    model = differences(grid.ink(bits, np.array([BLUR]))[0])[0]
    fit = rise @ model / (np.linalg.norm(rise, axis=1) + 1e-3)
    return poses[np.argsort(-fit)[:2]]


class SupplementFits:
    """The supplements of one length that were fitted to a profile, each with its best fit."""

    def __init__(self, values: Floats, symbology: Symbology, kind: int) -> None:
        self.values = values
        self.symbology = symbology
        self.grid = grids_of(symbology)[kind]
        self.best: dict[str, tuple[Bits, Fit]] = {}

    def fit(self, places: Sequence[Fit], *, most: int, rounds: int, keep: int = FEW) -> None:
        """Fit the likeliest digits to the profile, at the `keep` most promising places."""
        proposals = []
        for place in places:
            moments = profile_moments(self.values, self.grid, place)
            digits, rows, misfits = likeliest_digits(moments, self.symbology, most=most, beam=BEAM)
            if len(digits):
                proposals.append((1 + float(misfits[0]) / (moments.energy + 1e-6), place.pose, digits, rows))
        proposals.sort(key=lambda proposal: proposal[0])
        if not proposals or proposals[0][0] > HOPELESS:
            return
        _, at, digit_rows, sets = zip(*proposals[:keep], strict=True)
        digits = np.concatenate(digit_rows)
        bits = self.symbology.bits(digits, np.concatenate(sets))
        poses = np.repeat(at, [len(digits_here) for digits_here in digit_rows], axis=0)
        fits = fit_symbols(self.values, self.grid, bits, poses, rounds=rounds, bends=0)
        for i, text_digits in enumerate(digits):
            text = "".join(str(digit) for digit in text_digits)
            if text not in self.best or fits.misfits[i] < self.best[text][1].misfit:
                self.best[text] = (bits[i], fits.row(i))

    def texts(self) -> list[str]:
        """Return the digits that were fitted, best first."""
        return sorted(self.best, key=lambda text: self.best[text][1].misfit)


def fit_supplement(profile: SupplementProfile, symbol: SymbolFit, symbology: Symbology) -> RankedSupplements:
    """Return the supplements of one length that fit best, each at its own pose.

    Args:
        profile: of the symbol and of what is to its right.
        symbol: the fit of the symbol itself.
        symbology: two digits or five.
    """
    fits = SupplementFits(profile.values, symbology, symbol.kind)
    light = np.array([symbol.contrast, 0, 0])
    fits.fit([Fit(symbol.pose_of(symbology, gap), 1.0, np.zeros(2), light) for gap in GAPS], most=2, rounds=3)
    first = fits.texts()[:2]
    if not first:
        return RankedSupplements((), (), believed=False, error=1.0)
    if fits.best[first[0]][1].misfit < FAR * CLOSE[symbology.name]:
        fits.fit([fits.best[text][1] for text in first], most=MOST, rounds=4)
        fits.fit([fits.best[text][1] for text in fits.texts()[:1]], most=MOST, rounds=4)
    texts = fits.texts()[:MOST]
    misfits = tuple(fits.best[text][1].misfit for text in texts)
    error = error_chance([-step_worth(symbology.modules) * log(max(misfit, 1e-6)) for misfit in misfits])
    return RankedSupplements(tuple(texts), misfits, is_believable(fits, symbol, texts[0], profile.end), error)


def is_believable(fits: SupplementFits, symbol: SymbolFit, text: str, end: float) -> bool:
    """Return whether digits fit well enough, and agree with the symbol beside them, to be a supplement."""
    bits, fit = fits.best[text]
    if fit.misfit > CLOSE[fits.symbology.name] or worst_digit_misfit(fits.values, fits.grid, bits, fit) > WORST:
        return False
    first, later = symbol.place(EAN13.modules + np.array([0.0, 1.0]))
    gap = float((fit.pose[0] - first) / (later - first))
    expected = symbol.pose_of(fits.symbology, gap)
    contrasts = fits.grid.bases[[0, -1]] @ fit.contrast / max(symbol.contrast, 1e-3)
    return (
        NEAREST <= gap <= FARTHEST
        and abs(float(fit.pose[1] / expected[1]) - 1) <= WIDER
        and abs(fit.blur - float(expected[5])) <= BLUNTER
        and bool((contrasts >= PALEST).all() and (contrasts <= DARKEST).all())
        and float(fit.pose[0] + (fits.symbology.modules + PAPER) * fit.pose[1]) <= end
    )
