"""The supplement (add-on) right of a symbol whose number is known, read from grey levels.

Two digits name the issue of a periodical, five its issue and print or the price of a book. General decoders leave it
first: there is little to check a misread by. But the symbol beside it is known in every bar, so that the width of a
module, the blur, the contrast and the slant are known well before the supplement is looked at:

1. The symbol is turned upright with what is right of it; rows are brought into line by the symbol's own bars, and
   pooled where what is right of it looks alike too, since a supplement's bars begin lower, below its digits.
2. The known bars are laid onto the profile, which gives pose, blur and contrast; the slant is carried on to the right.
3. At each gap that the standard allows, the likeliest digits of either length are laid onto the profile.
4. Believed is only what has the symbol's own module, blur and contrast, and fits closely in every digit: print,
   pictures and the bars of other symbols are common beside a symbol without a supplement.

Does not look beside the short symbols (EAN-8, UPC-E), and not left of, above or below a symbol.

Source: GS1 General Specifications, 5.2.2 (add-on symbols: gap of 7 to 12 modules, quiet zone of 5 at the right end).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from intake.model.readings import Point
from intake.reading.calibration import BELIEVED, WORST, error_of, worth
from intake.reading.geometry import Floats, Grey, lengthened, mapped
from intake.reading.grey_profile import FEWEST, aligned, flat, in_bands, pooled, run, sampled
from intake.reading.likelihood import evidence, rows_of_digits
from intake.reading.profile_fit import BLUR, Doubles, Fit, Ruler, lay, steps, worst_part
from intake.reading.rectify import Crop, rectify
from intake.reading.symbologies import EAN13, FIVE, TWO, Bits, Symbology, ean13_bits

MODULE_PX = 6.0
SIDE = 11
"""Modules of paper left of the symbol that are looked at: its quiet zone."""
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
"""Of the gaps, those at which digits are laid onto the profile."""
HOPELESS = 0.3
"""The misfit, before anything is fitted, of digits with the symbol's own blur and contrast, beyond which none stand."""
FAR = 2
"""Misfits so many times what is believed are not improved any more."""
RULERS = {each.name: Ruler(each) for each in (EAN13, TWO, FIVE)}

CLOSE = {TWO.name: 0.05, FIVE.name: 0.09}
"""The misfit up to which there is a supplement at all; two digits are more like anything than five are."""
NEAREST, FARTHEST = 6.0, 13.0
"""Of the gap, in modules."""
WIDER = 0.05
"""How far its module may be from the symbol's, as a share: both are printed together."""
BLUNTER = 0.2
"""How far its blur may be from the symbol's, in modules."""
PALEST, DARKEST = 0.6, 1.6
"""Of its contrast, as a share of the symbol's."""
PAPER = 4
"""Modules of paper right of it that must be in the picture: what is cut off after two of five digits is not two."""
BLURRED = 1.6
"""Blur of the symbol, in modules, beyond which twenty modules of anything are like two digits."""


@dataclass(frozen=True, eq=False)
class Known:
    """What the symbol tells of what stands beside it.

    Attributes:
        pose: of the symbol; see `intake.reading.profile_fit`.
        contrast: at its right end.
        misfit: of its own bars.
    """

    pose: Doubles
    contrast: float
    misfit: float

    def place(self, u: Doubles) -> Doubles:
        """Return where, in samples, points lie that are so many modules right of the symbol's left edge.

        The bend is taken for that of a slanting view, which carries on as w / (1 + q w), w from the symbol's middle.
        """
        half = EAN13.modules / 2
        at, module, bend = (float(each) for each in self.pose[:3])
        slant = -bend / half**2
        wide = module * (1 - (slant * half) ** 2)
        return np.asarray(at + module * (half - bend) + wide * (u - half) / (1 + slant * (u - half)))

    def pose_of(self, symbology: Symbology, gap: float) -> Doubles:
        """Return the pose of a supplement behind so wide a gap."""
        start = EAN13.modules + gap
        left, middle, right = self.place(start + symbology.modules * np.array([0, 0.5, 1]))
        module = float(right - left) / symbology.modules
        bend = float(left + right - 2 * middle) / 2 / module
        return np.array([left, module, bend, 0, 0, float(self.pose[5]) * float(self.pose[1]) / module])


@dataclass(frozen=True, eq=False)
class SupplementProfile:
    """The profile of a symbol and of what is right of it.

    Attributes:
        values: (samples,), ink is high; `MODULE_PX` samples to a module, the symbol's left edge `SIDE` modules in.
        end: samples that are in the picture: beyond, its last column is repeated.
    """

    values: Floats
    end: float


@dataclass(frozen=True, eq=False)
class Supplement:
    """Digits of one length laid onto the profile beside a symbol.

    Attributes:
        texts: 2 or 5 digits each, those that fit best first.
        misfits: of each.
        believed: whether there is a supplement at all, to judge by what the symbol tells.
        error: the chance that others than the first are printed, given that there is one.
    """

    texts: tuple[str, ...]
    misfits: tuple[float, ...]
    believed: bool
    error: float


def read_beside(grey: Grey, corners: tuple[Point, ...], number: str) -> tuple[str, float] | None:
    """Read the supplement of a symbol; None where there is none that may be believed.

    Args:
        grey: the picture, uint8, height by width.
        corners: the symbol's outline without its supplement, clockwise from its own top left.
        number: its 13 digits.

    Returns:
        2 or 5 digits, and the chance that others are printed.
    """
    line = line_of(grey, corners)
    if line is None:
        return None
    symbol = known_by(line.values, number)
    if symbol.misfit > BELIEVED or symbol.pose[5] > BLURRED:
        return None
    believed = [each for each in (supplement(line, symbol, length) for length in (TWO, FIVE)) if each.believed]
    return (believed[0].texts[0], believed[0].error) if len(believed) == 1 else None


def line_of(grey: Grey, corners: tuple[Point, ...]) -> SupplementProfile | None:
    """Pool the rows of a symbol and of what is right of it; None where no rows are alike on both sides."""
    width = round((EAN13.modules + BESIDE) * MODULE_PX)
    longer = lengthened(squared(corners), 1 + BESIDE / EAN13.modules)
    crop = rectify(grey, longer, width, side=SIDE * MODULE_PX / width, tallest_px=TALLEST_PX)
    shown = inside(crop, grey.shape)
    end = round((SIDE + EAN13.modules + 4) * MODULE_PX)
    if shown < end + NEAREST + TWO.modules * MODULE_PX:
        return None
    bands = in_bands(crop.grey)
    high = flat(bands[:, :end])
    first, last = run(high)
    if last - first < FEWEST:
        return None
    lined = np.stack([sampled(bands[first + i], *warp) for i, warp in enumerate(aligned(high, first, last))])
    start, stop = run(flat(lined[:, end:]))
    return SupplementProfile(pooled(lined[start:stop]), shown) if stop - start >= FEWEST else None


def inside(crop: Crop, shape: tuple[int, ...]) -> float:
    """Return how many columns of a crop show the picture, along its middle, from the left."""
    height, width = crop.grey.shape
    points = np.array(mapped([(float(x), height / 2) for x in range(width)], crop.to_picture))
    outside = np.nonzero((points < -0.5).any(axis=1) | (points > np.array(shape[::-1]) - 0.5).any(axis=1))[0]
    beyond = outside[outside > SIDE * MODULE_PX]
    return float(beyond[0]) if len(beyond) else float(width)


def squared(corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return the parallelogram most like an outline: carried on to the right, a wedge would run away."""
    a, b, c, d = (np.array(corner) for corner in corners)
    middle, across, down = (a + b + c + d) / 4, (b - a + c - d) / 4, (d - a + c - b) / 4
    quad = (middle - across - down, middle + across - down, middle + across + down, middle - across + down)
    return tuple((float(x), float(y)) for x, y in quad)


def known_by(values: Floats, number: str) -> Known:
    """Lay the symbol's own bars onto the profile."""
    bits = ean13_bits([number])
    ruler = RULERS[EAN13.name]
    begins = poses_about(values, ruler, bits)
    fits = lay(values, ruler, np.repeat(bits, len(begins), axis=0), begins, rounds=6)
    fit = fits.one(int(np.argmin(fits.misfits)))
    return Known(fit.pose, float(fit.contrast.sum()), fit.misfit)


def poses_about(values: Floats, ruler: Ruler, bits: Bits) -> Doubles:
    """Return the poses about the outline at which the symbol's bars go best with the profile: an outline is a guess."""
    left, right, bend = (each.ravel() for each in np.meshgrid(OFF, OFF, BENDS))
    module = (1 + (right - left) / EAN13.modules) * MODULE_PX
    at = (SIDE + left) * MODULE_PX
    poses = np.stack([at, module, bend, np.zeros_like(at), np.zeros_like(at), np.full_like(at, BLUR)], axis=1)
    rise = steps(ruler.seen(values, values, poses)[0])
    model = steps(ruler.ink(bits, np.array([BLUR]))[0])[0]
    fit = rise @ model / (np.linalg.norm(rise, axis=1) + 1e-3)
    return poses[np.argsort(-fit)[:2]]


class Tried:
    """The supplements of one length that were laid onto a profile, each with its best fit."""

    def __init__(self, values: Floats, symbology: Symbology) -> None:
        self.values = values
        self.symbology = symbology
        self.ruler = RULERS[symbology.name]
        self.best: dict[str, tuple[Bits, Fit]] = {}

    def lay(self, places: Sequence[Fit], *, most: int, rounds: int, keep: int = FEW) -> None:
        """Lay the likeliest digits onto the profile, at the places where they promise most."""
        found = []
        for place in places:
            seen = evidence(self.values, self.ruler, place)
            digits, rows, misfits = rows_of_digits(seen, self.symbology, most=most, beam=BEAM)
            if len(digits):
                found.append((1 + float(misfits[0]) / (seen.energy + 1e-6), place.pose, digits, rows))
        found.sort(key=lambda each: each[0])
        if not found or found[0][0] > HOPELESS:
            return
        _, at, several, sets = zip(*found[:keep], strict=True)
        digits = np.concatenate(several)
        bits = self.symbology.bits(digits, np.concatenate(sets))
        poses = np.repeat(at, [len(each) for each in several], axis=0)
        fits = lay(self.values, self.ruler, bits, poses, rounds=rounds, bends=0)
        for i, each in enumerate(digits):
            text = "".join(str(digit) for digit in each)
            if text not in self.best or fits.misfits[i] < self.best[text][1].misfit:
                self.best[text] = (bits[i], fits.one(i))

    def texts(self) -> list[str]:
        """Return the digits that were tried, those that fit best first."""
        return sorted(self.best, key=lambda text: self.best[text][1].misfit)


def supplement(line: SupplementProfile, symbol: Known, symbology: Symbology) -> Supplement:
    """Return the supplements of one length that fit best, each at a place of its own.

    Args:
        line: of the symbol and what is right of it.
        symbol: what is known by the symbol itself.
        symbology: two digits or five.
    """
    tried = Tried(line.values, symbology)
    light = np.array([symbol.contrast, 0, 0])
    tried.lay([Fit(symbol.pose_of(symbology, gap), 1.0, np.zeros(2), light) for gap in GAPS], most=2, rounds=3)
    first = tried.texts()[:2]
    if not first:
        return Supplement((), (), believed=False, error=1.0)
    if tried.best[first[0]][1].misfit < FAR * CLOSE[symbology.name]:
        tried.lay([tried.best[text][1] for text in first], most=MOST, rounds=4)
        tried.lay([tried.best[text][1] for text in tried.texts()[:1]], most=MOST, rounds=4)
    texts = tried.texts()[:MOST]
    misfits = tuple(tried.best[text][1].misfit for text in texts)
    error = error_of([-worth(symbology.modules) * log(max(each, 1e-6)) for each in misfits])
    return Supplement(tuple(texts), misfits, believable(tried, symbol, texts[0], line.end), error)


def believable(tried: Tried, symbol: Known, text: str, end: float) -> bool:
    """Tell whether digits fit so well, and are so like the symbol beside them, that they are a supplement."""
    bits, fit = tried.best[text]
    if fit.misfit > CLOSE[tried.symbology.name] or worst_part(tried.values, tried.ruler, bits, fit) > WORST:
        return False
    first, later = symbol.place(EAN13.modules + np.array([0.0, 1.0]))
    gap = float((fit.pose[0] - first) / (later - first))
    awaited = symbol.pose_of(tried.symbology, gap)
    contrasts = tried.ruler.bases[[0, -1]] @ fit.contrast / max(symbol.contrast, 1e-3)
    return (
        NEAREST <= gap <= FARTHEST
        and abs(float(fit.pose[1] / awaited[1]) - 1) <= WIDER
        and abs(fit.blur - float(awaited[5])) <= BLUNTER
        and bool((contrasts >= PALEST).all() and (contrasts <= DARKEST).all())
        and float(fit.pose[0] + (tried.symbology.modules + PAPER) * fit.pose[1]) <= end
    )
