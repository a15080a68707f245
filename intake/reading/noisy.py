"""Reading bars that camera noise hides: pictures in little light, or of pale ink.

Noise makes a texture of plain paper, so that the region of the bars is not found or has no end, and neighbouring rows
of one symbol do not look alike. Averaged over a few pixels both ways a picture loses most of it, and of the bars only
what a lens out of focus would take too, which the comparison of grey levels allows for. The decoders, which need sharp
bars, are not asked.

Source of the measure: J. Immerkær, "Fast noise variance estimation", Computer Vision and Image Understanding 64 (1996),
whose difference of Laplacians has neither edges nor slopes in it; here with the median, which texture moves less.
"""

from collections.abc import Iterator
from itertools import islice

import cv2
import numpy as np

from intake.model.readings import Point
from intake.reading.code_book import CodeBook
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.grey_profile import Profile, margin_contrast, profile
from intake.reading.locate import FAINT_BARS, count_edges_across, likeliest, locate
from intake.reading.probes import CLEARLY_FRAMED, profile_evidence

MASK = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)
"""The difference of two Laplacians, by which noise of standard deviation 1 becomes one of 6."""
MEDIAN = 0.6745
"""Median of the absolute values of a normal distribution of standard deviation 1."""
SAMPLED, ROWS = 8, 24
"""Strips of so many rows, evenly spread, that noise is measured in: large pictures would take longer than reading."""
NOISY = 3.0
"""Noise in grey levels from which a picture is averaged; of 162 photographs one has so much."""
SHARE = 0.08
"""Least noise as a share of the bars' contrast: what less of it hides, something else hides too."""
LIKELY = {5: 3, 7: 1}
"""Widths in pixels of the averages that are tried, less than three modules of the narrowest symbols that noise leaves
readable, and how many places are compared in each."""


def noise_of(grey: Grey) -> float:
    """Return the standard deviation of a picture's noise, in grey levels.

    Args:
        grey: uint8, height by width.
    """
    rows = max(len(grey) // SAMPLED, 1)
    some = [grey[start : start + ROWS] for start in range(0, len(grey), rows)]
    return float(np.median(np.abs(cv2.filter2D(np.concatenate(some), cv2.CV_32F, MASK)))) / 6 / MEDIAN


def read_noisy(grey: Grey, evidence: Evidence, known: CodeBook | None) -> None:
    """Compare the grey levels of the likeliest bars of a noisy picture once it is averaged; others are left alone."""
    noise = noise_of(grey)
    if noise < NOISY:
        return
    for width, most in LIKELY.items():
        soft = np.asarray(cv2.blur(grey, (width, width)), np.uint8)
        places = {corners: profile(soft, corners) for corners in islice(likely_places(soft), most)}
        hidden = {corners: each for corners, each in places.items() if each and may_hide(noise, each, soft)}
        for corners, pooled in hidden.items():
            if count_edges_across(soft, corners) >= FAINT_BARS and not evidence.accepted():
                evidence.add_surer_profile(profile_evidence(soft, pooled, known))
        if evidence.accepted() or not hidden:
            return


def may_hide(noise: float, pooled: Profile, soft: Grey) -> bool:
    """Return whether noise of this standard deviation may hide what a profile shows, and paper frames it."""
    return noise > SHARE * float(pooled.values.std()) and margin_contrast(pooled, soft) <= CLEARLY_FRAMED


def likely_places(soft: Grey) -> Iterator[tuple[Point, ...]]:
    """Yield regions of an averaged picture: the strongest and the likeliest of faint bars, then the strongest."""
    faint = [region.corners for region in locate(soft, faint=True)]
    yield from faint[:1]
    yield from (corners for corners in likeliest(soft, faint)[:1] if corners not in faint[:1])
    yield from (region.corners for region in locate(soft, most=1))
