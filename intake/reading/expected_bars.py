"""Bars compared with a number that is expected there, because it is printed below them.

Bars too pale or too blurred to be read can still be compared with one number: where its bars might lie is found by
correlation, without a search for digits. The evidence is as of any grey profile: the number is fitted to it, and so are
the numbers that would fit best in its place. It is evidence only where the expected number fits best of all.

**The reckoning.** Print and bars err independently (`intake.reading.printed_evidence`), so that their decades add up: a
number as printed is worth three, and the bars what their own probability of error is worth
(`intake.reading.calibration`). Five are sufficient: bars need be sure to 1 in 100 only, where the number is printed
below them.
"""

from collections.abc import Sequence

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.fuse import ProfileEvidence
from intake.reading.geometry import Floats, Grey, width_of
from intake.reading.grey_level import QUICK_BEAM, RIVALS, CandidateFits, ProfileCandidate
from intake.reading.grey_profile import WIDTH_PX, Profile, profile
from intake.reading.locate import locate
from intake.reading.printed import PrintedNumber
from intake.reading.probes import judged_evidence
from intake.reading.profile_fit import BLUR, Doubles, SampleGrid, differences
from intake.reading.symbologies import Bits, bits_of, symbology_of

AROUND = 1.2
"""How far about the print its bars are looked for, in widths of the print: bars are as wide and 0.73 as tall."""
REGIONS = 2
STEP = 14.0
"""Samples between the left edges that are tried: less than two modules, from which the fit finds its way."""
NARROWEST, WIDEST, WIDER = 0.4, 1.3, 1.035
"""Widths of the symbol that are tried, as shares of the region, and the factor from one to the next."""
BENDS = (-3.5, 0.0, 3.5)
TRIED = 10
"""Poses of greatest correlation, either way round, that are fitted."""
ALIKE = 0.35
"""Least correlation of bars with their number at a pose that is approximate."""


def bars_of_print(grey: Grey, printed: PrintedNumber) -> ProfileEvidence | None:
    """Compare the bars about a printed number with it; None where none are its own.

    Args:
        grey: the picture, uint8, height by width.
        printed: with corners in pixels of the picture.
    """
    xs, ys = zip(*printed.corners, strict=True)
    reach = AROUND * width_of(printed.corners)
    left, top = max(int(min(xs) - reach), 0), max(int(min(ys) - reach), 0)
    part = np.ascontiguousarray(grey[top : int(max(ys) + reach) + 1, left : int(max(xs) + reach) + 1])
    for look in ({"pale": True}, {"faint": True}):
        for region in locate(part, most=REGIONS, **look):
            corners = tuple((x + left, y + top) for x, y in region.corners)
            evidence = expected_evidence(grey, corners, printed.number)
            if evidence is not None:
                return evidence
    return None


def expected_evidence(grey: Grey, corners: Sequence[Point], number: str) -> ProfileEvidence | None:
    """Compare the grey profile of a region with a number; None where another fits better, or none is believed."""
    pooled = profile(grey, tuple(corners))
    candidates = rank_expected(pooled, number) if pooled else []
    if pooled is None or not candidates or candidates[0].number != number:
        return None
    evidence = judged_evidence(pooled, candidates, None)
    return evidence if evidence and evidence.numbers[0] == number else None


def rank_expected(pooled: Profile, number: str) -> list[ProfileCandidate]:
    """Return a number and the likeliest others at its best pose, best fit first; empty where it resembles nothing."""
    symbology = symbology_of(number)
    fits = CandidateFits(pooled, symbology, None)
    bits = bits_of([number], symbology)
    for turned, values in fits.values.items():
        poses = likely_poses(values, fits.grid, bits)
        if len(poses):
            fits.fit([number] * len(poses), np.repeat(bits, len(poses), axis=0), poses, turned=turned, rounds=8)
    if not fits.tried:
        return []
    (best,) = fits.under_likelier_light(fits.best(1))[:1]
    others, drawn = fits.proposals(best, most=2 * RIVALS, beam=QUICK_BEAM)
    rivals = [i for i, other in enumerate(others) if other != number]
    if rivals:
        poses = np.tile(best.fit.pose, (len(rivals), 1))
        fits.fit([others[i] for i in rivals], drawn[rivals], poses, turned=best.turned, rounds=6)
    fits.add_misprints()
    return fits.best_with_worst_digit(2 * RIVALS)


def likely_poses(values: Floats, grid: SampleGrid, bits: Bits) -> Doubles:
    """Return the poses at which a symbol's bars correlate best with a profile, (poses, 6)."""
    modules = grid.symbology.modules
    widths = np.exp(np.arange(np.log(NARROWEST), np.log(WIDEST), np.log(WIDER))) * WIDTH_PX / modules
    at, module, bend = (axis.ravel() for axis in np.meshgrid(np.arange(0, len(values), STEP), widths, BENDS))
    inside = at + modules * module < len(values)
    nothing = np.zeros(int(inside.sum()))
    poses = np.stack([at[inside], module[inside], bend[inside], nothing, nothing, nothing + BLUR], axis=1)
    soft = np.asarray(cv2.blur(values[None], (5, 1))[0], np.float32)
    rise = differences(grid.sample(soft, soft, poses)[0])[:, ::2]
    model = differences(grid.ink(bits, np.array([BLUR]))[0])[0, ::2]
    alike = rise @ model / (np.linalg.norm(rise, axis=1) * float(np.linalg.norm(model)) + 1e-3)
    best = np.argsort(-alike)[:TRIED]
    return np.asarray(poses[best[alike[best] > ALIKE]])
