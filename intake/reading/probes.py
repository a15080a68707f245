"""One look at a part of the picture: cut it out, clean it, show it to the decoders, and carry back what they read."""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.bar_edges import Edged, read_edges
from intake.reading.calibration import judge
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoded, Decoder
from intake.reading.fuse import Beside, ProfileEvidence
from intake.reading.geometry import WITH_SUPPLEMENT, Grey, centre_of, contains, lengthened, mapped, resized, width_of
from intake.reading.grey_level import ProfileCandidate, candidates, rivals
from intake.reading.grey_profile import Profile, profile
from intake.reading.grey_supplement import read_beside
from intake.reading.outline import outline
from intake.reading.rectify import Crop, rectify, turned, whole
from intake.reading.symbologies import EAN8, EAN13, bits_of, symbology_of
from intake.reading.versions import PLAIN, Version
from intake.reading.vote import Vote

HALF = 0.6
"""An outline of which the ends are not known, narrower than so much of what was cut out, is half of it."""
FEW_ROWS = 32
"""Rows of a symbol whose grey profile is only to confirm what decoders read."""
UPRIGHT_ROWS = 64
"""Rows that decoders are shown of a symbol whose outline is known: they ask for a few that agree."""
EDGED = 1e-6
"""The chance that a number is wrong of which the edges were found, all in their places."""
STRIP_PX = 190
"""Samples across a symbol beside which a supplement is looked for: two to a module."""
SIGN = 0.2
"""Contrast of bars beside a symbol, as a share of its own."""
FEWEST_EDGES = 5
"""Of the 14 edges of a supplement's first 20 modules: blur takes the narrow ones."""
FEWER_EDGES = 4
"""The same where blur is so strong that decoders see nothing."""
WELL, MUCH = 0.1, 1.3
"""A misfit that only the right number, or one that shares most of its digits, reaches; and how much worse one must fit
that is not printed there. Of right numbers of real photographs none was disowned, those that glare spoils fit worse."""
SAMPLES = 3
"""To a module, where a symbol is compared with its number's bars; how far, in samples, it may be off, and how much."""
SCALES, SHIFTS = np.array([0.98, 1.0, 1.02]), np.arange(-4.0, 4.1, 1.0)
VIEW_PX = 1600
"""The longer side of a picture that is turned: the last thing tried, and slow on large ones."""
LARGE_PX = 16_000_000
"""Above so many pixels the first look is at half size; where it finds nothing, the full size is looked at too."""


def cast(
    crop: Crop,
    version: str,
    cut: str,
    decoders: Sequence[Decoder],
    *,
    own: bool = False,
    target: tuple[Point, ...] = (),
    known: bool = False,
) -> list[Vote]:
    """Show one crop to the decoders.

    Args:
        crop: what they are shown.
        version: how it was cleaned and scaled.
        cut: what was cut out of the picture.
        decoders: who is asked.
        own: also for the project's own labels.
        target: what the crop was cut out for, in pixels of the picture.
        known: whether that is a symbol's outline, so that what is read there need not be outlined anew.

    Returns:
        A vote for each symbol that each decoder read, its outline in pixels of the picture.
    """
    votes = []
    for decoder in decoders:
        for symbol in decoder.decode(crop.grey, own=own):
            corners = mapped(symbol.corners, crop.to_picture)
            if known and contains(target, centre_of(corners)):
                corners = target
            else:
                corners = mapped(bars(crop.grey, symbol), crop.to_picture)
                if target and not symbol.ends_known and width_of(corners) < HALF * width_of(target):
                    corners = target
            votes.append(Vote(replace(symbol, corners=corners), version, cut))
    return votes


def bars(grey: Grey, symbol: Decoded) -> tuple[Point, ...]:
    """Return a symbol's outline; that of a matrix symbol is what the decoder says."""
    return symbol.corners if symbol.matrix else outline(grey, symbol.corners)


def at_all(grey: Grey, decoder: Decoder) -> list[Vote]:
    """Look at the picture as it is; at a very large one at half size first."""
    if grey.size > LARGE_PX:
        half = Crop(
            resized(grey, grey.shape[1] // 2, grey.shape[0] // 2), np.array([[2, 0, 0.5], [0, 2, 0.5], [0, 0, 1]])
        )
        votes = cast(half, "half size", "whole", [decoder], own=True)
        if votes:
            return votes
    return cast(whole(grey), "as it is", "whole", [decoder], own=True)


def at_region(
    grey: Grey, corners: tuple[Point, ...], cut: str, version: Version, decoders: Sequence[Decoder]
) -> list[Vote]:
    """Look at a located region, turned upright, in one version."""
    crop = rectify(grey, corners, version.width_px, tallest_px=version.tallest_px)
    return cast(replace(crop, grey=version.clean(crop.grey)), version.name, cut, decoders, own=True, target=corners)


def at_symbol(
    grey: Grey, corners: tuple[Point, ...], decoders: Sequence[Decoder], version: Version = PLAIN
) -> list[Vote]:
    """Look at a symbol whose outline is known, turned upright, with room for its supplement."""
    if width_of(corners) < 1:
        return []
    length = round(version.width_px * WITH_SUPPLEMENT)
    crop = rectify(grey, lengthened(corners, WITH_SUPPLEMENT), length, side=0.09, tallest_px=UPRIGHT_ROWS)
    cleaned = replace(crop, grey=version.clean(crop.grey))
    return cast(cleaned, f"outline, {version.name}", "outline", decoders, target=corners, known=True)


def edges_beside(grey: Grey, corners: tuple[Point, ...]) -> int:
    """Count the edges of what stands right of a symbol, where its supplement would."""
    length = round(STRIP_PX * WITH_SUPPLEMENT)
    strip = rectify(grey, lengthened(corners, WITH_SUPPLEMENT), length, side=0.0, tallest_px=32).grey
    ink = strip[len(strip) // 3 : -len(strip) // 5].astype(np.float32).mean(axis=0)
    spread = float(ink[:STRIP_PX].std())
    beside = ink[STRIP_PX + STRIP_PX // 32 : STRIP_PX + STRIP_PX // 3]
    beside = beside - cv2.blur(beside[None], (31, 1))[0]
    sure = np.sign(beside)[np.abs(beside) > SIGN * spread]
    return int(np.count_nonzero(np.diff(sure)))


def at_other_views(grey: Grey, decoders: Sequence[Decoder]) -> list[Vote]:
    """Look at the whole picture turned, since zxing-cpp misses diagonal bars, and light for dark, until one is read."""
    inverted = np.asarray(255 - grey, np.uint8)
    views = [
        ("turned 45", grey, 45.0),
        ("turned 22", grey, 22.5),
        ("turned -22", grey, -22.5),
        ("inverted", inverted, 0.0),
    ]
    for name, source, angle in views:
        votes = cast(turned(source, angle, longest_px=VIEW_PX), name, name, decoders[:1], own=True)
        for each in tuple(votes):
            votes += at_symbol(source, each.symbol.corners, decoders)
        if votes:
            return votes
    return []


def at_supplement(grey: Grey, reading: Reading) -> Beside | None:
    """Read the supplement of a long symbol from grey levels; None where there is none."""
    found = read_beside(grey, reading.corners, reading.number)
    return None if found is None else Beside(reading.number, reading.corners, *found)


def at_edges(grey: Grey, corners: tuple[Point, ...]) -> ProfileEvidence | None:
    """Read a region from the edges along its grey profile; None where they are not those of a symbol."""
    pooled = profile(grey, corners)
    found = read_edges(pooled.clear) if pooled else None
    return traced(pooled, found) if pooled and found else None


def traced(pooled: Profile, found: Edged) -> ProfileEvidence:
    """Say where in the picture a number lies that was read from edges."""
    start, end = found.ends
    last = len(pooled.values) - 1
    corners = pooled.corners(start, end) if start < end else pooled.turn().corners(last - start, last - end)
    return ProfileEvidence((found.number,) if found.number else (), EDGED, corners, ("edges",))


def at_profile(grey: Grey, corners: tuple[Point, ...], known: CodeBook | None) -> ProfileEvidence | None:
    """Compare the grey profile of a region with all numbers; None where it is not like a symbol's."""
    pooled = profile(grey, corners)
    if pooled is None:
        return None
    found = read_edges(pooled.values)
    if found:
        return traced(pooled, found)
    long = candidates(pooled, EAN13, known)
    seen = seen_in(pooled, long, known)
    if seen or not long:  # nothing there is like bars
        return seen
    return seen_in(pooled, candidates(pooled, EAN8, known), known)


def at_reading(grey: Grey, reading: Reading, known: CodeBook | None) -> ProfileEvidence | None:
    """Compare the grey profile of what decoders read with their number and its likeliest rivals."""
    pooled = profile(grey, reading.corners, tallest_px=FEW_ROWS)
    if pooled is None:
        return None
    found = read_edges(pooled.clear)
    if found:
        return traced(pooled, found)
    fitting = rivals(pooled, reading.number)
    if reading.accepted and disowned(fitting, reading.number):
        return ProfileEvidence((), 0.0, reading.corners, ("grey",))
    return seen_in(pooled, fitting, known)


def disowned(fitting: Sequence[ProfileCandidate], number: str) -> bool:
    """Tell whether a profile that another number fits well is plainly not of this one: decoders made it up."""
    own = [each.fit.misfit for each in fitting if each.number == number]
    best = fitting[0]
    if best.number == number or best.fit.misfit > WELL:
        return False
    return not own or own[0] > MUCH * best.fit.misfit


def likeness(grey: Grey, reading: Reading) -> float:
    """Return how like its number's bars a symbol looks: the greatest correlation over a few scales and shifts.

    Above 0.9 where a sharp symbol shows its number, 0.6 to 0.87 where decoders made one up (drawn symbols).
    """
    symbology = symbology_of(reading.number)
    size = SAMPLES * symbology.modules
    strip = rectify(grey, reading.corners, size, side=0.05, tallest_px=24).grey[4:-4].astype(np.float32).mean(axis=0)
    ink = np.repeat(bits_of([reading.number], symbology)[0].astype(np.float32), SAMPLES)
    ink = cv2.blur(ink[None], (SAMPLES, 1))[0]
    ink -= ink.mean()
    offsets = (np.arange(size) - (size - 1) / 2)[None, None] * SCALES[:, None, None] + SHIFTS[None, :, None]
    seen = np.interp(offsets + (len(strip) - 1) / 2, np.arange(len(strip)), -strip).reshape(-1, size)
    seen -= seen.mean(axis=1, keepdims=True)
    return float((seen @ ink / np.sqrt((seen**2).sum(axis=1) * float(ink @ ink) + 1e-3)).max())


def seen_in(pooled: Profile, found: Sequence[ProfileCandidate], known: CodeBook | None) -> ProfileEvidence | None:
    """Weigh the candidates of a profile; None where none is believable."""
    judgement = judge(found, known)
    if judgement is None or judgement.error == 1.0:
        return None
    best = judgement.candidates[0]
    line = pooled.turn() if best.turned else pooled
    start, module = (float(each) for each in best.fit.pose[:2])
    methods = ("grey", "book") if best.listed else ("grey",)
    numbers = tuple(each.number for each in judgement.candidates)
    return ProfileEvidence(numbers, judgement.error, line.corners(start, start + len(best.bits) * module), methods)
