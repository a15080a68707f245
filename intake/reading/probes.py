"""Reading one part of the picture: cut it out, clean it, decode it, and map the results back to the picture."""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from intake.model.readings import Point, Reading
from intake.reading import bar_edges
from intake.reading.bar_edges import EdgeReading, read_edges
from intake.reading.calibration import judge
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoded, Decoder
from intake.reading.fuse import ProfileEvidence, SupplementEvidence
from intake.reading.geometry import (
    WITH_SUPPLEMENT,
    Grey,
    centre_of,
    contains,
    downscale,
    lengthen,
    map_points,
    width_of,
)
from intake.reading.grey_level import ProfileCandidate, rank_candidates, rank_rivals
from intake.reading.grey_profile import Profile, margin_contrast, profile
from intake.reading.grey_supplement import read_supplement
from intake.reading.outline import outline
from intake.reading.rectify import Crop, rectify, rotate, whole_picture
from intake.reading.symbologies import EAN8, EAN13, UPCE, bits_of, symbology_of
from intake.reading.versions import PLAIN, Version
from intake.reading.vote import Vote

HALF = 0.6
"""An outline whose ends are unknown, and narrower than this share of the crop, is half of the symbol."""
FEW_ROWS = 32
"""Rows of a grey profile that only confirms what decoders read."""
UPRIGHT_ROWS = 64
"""Rows of a symbol of known outline that are decoded; decoders need only a few that agree."""
EDGED, EDGED_LOOSELY = 1e-6, 3e-5
"""Probability that a number read from edges, all of them in place, is wrong; the same where some are not quite, so that
one vote of a decoder is needed besides."""
STRIP_PX = 190
"""Samples across a symbol when edges beside it are counted: two per module."""
SIGN = 0.2
"""Least contrast of bars beside a symbol, as a share of the symbol's own."""
FEWEST_EDGES = 5
"""Of the 14 edges of a supplement's first 20 modules; blur removes the narrow bars."""
FEWER_EDGES = 4
"""The same where blur is so strong that decoders read nothing."""
WELL, MUCH = 0.1, 1.3
"""A misfit reached only by the right number, or by one that shares most of its digits; and the factor by which a number
that is not printed there fits worse. No right number of the real photographs was contradicted: those that glare damages
fit worse."""
LOST = 0.5
"""Misfit of all candidates beyond which the outline is too far off, so that all numbers are tried anywhere in it."""
FRAMED, CLEARLY_FRAMED = 0.4, 0.35
"""Contrast beside the bars, as a share of theirs, above which they are texture and no number is looked for; and below
which they are looked at in every way. Of textures one in thirteen had less than the first; symbols had less than 0.2,
or 0.33 in noise."""
LIKE_BARS = 0.83
"""Least likeness of the bands of a profile whose numbers are looked for: of 184 drawn and photographed symbols read by
their grey levels none had less than 0.868, of regions of text half and of texture five in six less than this.
"""
SAMPLES = 3
"""Samples per module where a symbol is compared with its number's bars, and the scales and shifts that are tried."""
SCALES, SHIFTS = np.array([0.98, 1.0, 1.02]), np.arange(-4.0, 4.1, 1.0)
VIEW_PX = 1600
"""The longer side of a rotated picture: rotation is tried last, and is slow on large pictures."""
LARGE_PX = 16_000_000
"""A picture with more pixels is first decoded at half size, and at full size if that finds nothing."""


def cast_votes(
    crop: Crop,
    version: str,
    cut: str,
    decoders: Sequence[Decoder],
    *,
    own: bool = False,
    target: tuple[Point, ...] = (),
    known: bool = False,
) -> list[Vote]:
    """Decode one crop with several decoders.

    Args:
        crop: the crop to decode.
        version: how it was cleaned and scaled.
        cut: which part of the picture it is.
        decoders: the decoders to use.
        own: whether to read the project's own labels too.
        target: the region that the crop was made for, in pixels of the picture.
        known: whether `target` is a symbol's outline, so that a symbol read there needs no new outline.

    Returns:
        A vote for each symbol that each decoder read, its outline in pixels of the picture.
    """
    votes = []
    for decoder in decoders:
        for symbol in decoder.decode(crop.grey, own=own):
            corners = map_points(symbol.corners, crop.to_picture)
            if known and contains(target, centre_of(corners)):
                corners = target
            else:
                corners = map_points(symbol_outline(crop.grey, symbol), crop.to_picture)
                if target and not symbol.ends_known and width_of(corners) < HALF * width_of(target):
                    corners = target
            votes.append(Vote(replace(symbol, corners=corners), version, cut))
    return votes


def symbol_outline(grey: Grey, symbol: Decoded) -> tuple[Point, ...]:
    """Return a symbol's outline; for a matrix symbol, the one that the decoder reports."""
    return symbol.corners if symbol.matrix else outline(grey, symbol.corners)


def vote_on_picture(grey: Grey, decoder: Decoder) -> list[Vote]:
    """Decode the picture as it is; a very large one at half size first."""
    if grey.size > LARGE_PX:
        half = Crop(
            downscale(grey, grey.shape[1] // 2, grey.shape[0] // 2), np.array([[2, 0, 0.5], [0, 2, 0.5], [0, 0, 1]])
        )
        votes = cast_votes(half, "half size", "whole", [decoder], own=True)
        if votes:
            return votes
    return cast_votes(whole_picture(grey), "as it is", "whole", [decoder], own=True)


def vote_on_region(
    grey: Grey, corners: tuple[Point, ...], cut: str, version: Version, decoders: Sequence[Decoder]
) -> list[Vote]:
    """Decode a located region, turned upright, in one version."""
    crop = rectify(grey, corners, version.width_px, tallest_px=version.tallest_px)
    return cast_votes(
        replace(crop, grey=version.clean(crop.grey)), version.name, cut, decoders, own=True, target=corners
    )


def vote_on_symbol(
    grey: Grey, corners: tuple[Point, ...], decoders: Sequence[Decoder], version: Version = PLAIN
) -> list[Vote]:
    """Decode a symbol whose outline is known, turned upright, with room for its supplement."""
    if width_of(corners) < 1:
        return []
    length = round(version.width_px * WITH_SUPPLEMENT)
    crop = rectify(grey, lengthen(corners, WITH_SUPPLEMENT), length, side=0.09, tallest_px=UPRIGHT_ROWS)
    cleaned = replace(crop, grey=version.clean(crop.grey))
    return cast_votes(cleaned, f"outline, {version.name}", "outline", decoders, target=corners, known=True)


def count_edges_beside(grey: Grey, corners: tuple[Point, ...]) -> int:
    """Count the edges to the right of a symbol, where its supplement would be."""
    length = round(STRIP_PX * WITH_SUPPLEMENT)
    strip = rectify(grey, lengthen(corners, WITH_SUPPLEMENT), length, side=0.0, tallest_px=32).grey
    ink = strip[len(strip) // 3 : -len(strip) // 5].astype(np.float32).mean(axis=0)
    spread = float(ink[:STRIP_PX].std())
    beside = ink[STRIP_PX + STRIP_PX // 32 : STRIP_PX + STRIP_PX // 3]
    beside = beside - cv2.blur(beside[None], (31, 1))[0]
    sure = np.sign(beside)[np.abs(beside) > SIGN * spread]
    return int(np.count_nonzero(np.diff(sure)))


def vote_on_other_views(grey: Grey, decoders: Sequence[Decoder]) -> list[Vote]:
    """Decode the whole picture rotated (zxing-cpp misses diagonal bars) and inverted, until a symbol is read."""
    inverted = np.asarray(255 - grey, np.uint8)
    views = [
        ("turned 45", grey, 45.0),
        ("inverted", inverted, 0.0),
    ]
    for name, source, angle in views:
        votes = cast_votes(rotate(source, angle, longest_px=VIEW_PX), name, name, decoders[:1], own=True)
        for vote in tuple(votes):
            votes += vote_on_symbol(source, vote.symbol.corners, decoders)
        if votes:
            return votes
    return []


def supplement_evidence(grey: Grey, reading: Reading) -> SupplementEvidence | None:
    """Read the supplement of a long symbol from grey levels; None if there is none."""
    supplement = read_supplement(grey, reading.corners, reading.number)
    return None if supplement is None else SupplementEvidence(reading.number, reading.corners, *supplement)


def edge_evidence(grey: Grey, pooled: Profile | None) -> ProfileEvidence | None:
    """Read a region from the edges along its grey profile; None if they are not those of a symbol."""
    edges = read_edges(pooled.clear) if pooled else None
    return edge_reading_evidence(grey, pooled, edges) if pooled and edges else None


def edge_reading_evidence(grey: Grey, pooled: Profile, reading: EdgeReading) -> ProfileEvidence:
    """Return a number read from edges as evidence, with its outline in pixels of the picture.

    Where some edge is hardly where it should be, the nearest digits may be wrong, and one in ten of these have a right
    check digit: the grey levels have to agree, or a decoder has to have read it too.
    """
    start, end = reading.ends
    last = len(pooled.values) - 1
    corners = pooled.corners(start, end) if start < end else pooled.turn().corners(last - start, last - end)
    if not reading.number:
        return ProfileEvidence((), EDGED, corners, ("edges",), reading.misprint)
    sure = reading.worst < bar_edges.PLAIN or fits_best(grey, corners, reading.number)
    return ProfileEvidence((reading.number,), EDGED if sure else EDGED_LOOSELY, corners, ("edges",))


def fits_best(grey: Grey, corners: tuple[Point, ...], number: str) -> bool:
    """Return whether a number fits the grey profile of its outline better than its rivals and than any misprint."""
    pooled = profile(grey, corners, tallest_px=FEW_ROWS)
    return pooled is not None and rank_rivals(pooled, number)[0].number == number


def profile_evidence(grey: Grey, pooled: Profile | None, known: CodeBook | None) -> ProfileEvidence | None:
    """Compare the grey profile of a region with all numbers; None if it does not look like a symbol."""
    if pooled is None:
        return None
    edges = read_edges(pooled.values)
    if edges:
        return edge_reading_evidence(grey, pooled, edges)
    beside = margin_contrast(pooled, grey)
    if beside > FRAMED or pooled.likeness < LIKE_BARS:
        return None
    candidates = rank_candidates(pooled, EAN13, known)
    evidence = judged_evidence(pooled, candidates, known)
    # Without candidates nothing there looks like the bars of an EAN-13, and only clear paper beside it like a shorter.
    if evidence or (not candidates and beside > CLEARLY_FRAMED):
        return evidence
    for shorter in (EAN8, UPCE):
        evidence = evidence or judged_evidence(pooled, rank_candidates(pooled, shorter, known), known)
    return evidence


def evidence_on_reading(grey: Grey, reading: Reading, known: CodeBook | None) -> ProfileEvidence | None:
    """Compare the grey profile of a reading with its number and the likeliest rivals."""
    pooled = profile(grey, reading.corners, tallest_px=FEW_ROWS)
    if pooled is None:
        return None
    edges = read_edges(pooled.clear)
    if edges:
        return edge_reading_evidence(grey, pooled, edges)
    candidates = rank_rivals(pooled, reading.number)
    lost = candidates[0].fit.misfit > LOST
    if lost or (reading.accepted and reading.number != candidates[0].number and candidates[0].fit.misfit > WELL):
        candidates = rank_candidates(pooled, symbology_of(reading.number)) or candidates
    if reading.accepted and is_contradicted(candidates, reading.number):
        misprint = "" if candidates[0].valid else candidates[0].number
        return ProfileEvidence((), 0.0, reading.corners, ("grey",), misprint)
    return judged_evidence(pooled, candidates, known)


def is_contradicted(candidates: Sequence[ProfileCandidate], number: str) -> bool:
    """Return whether another number fits the profile well and this one does not, so that decoders made it up."""
    own = [candidate.fit.misfit for candidate in candidates if candidate.number == number]
    best = candidates[0]
    if best.number == number or best.fit.misfit > WELL:
        return False
    return not own or own[0] > MUCH * best.fit.misfit


def bar_correlation(grey: Grey, reading: Reading) -> float:
    """Return the greatest correlation of a symbol with its number's bars over a few scales and shifts.

    Above 0.9 for the right number of a sharp symbol, 0.6 to 0.87 for numbers that decoders made up (drawn symbols).
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


def judged_evidence(
    pooled: Profile, candidates: Sequence[ProfileCandidate], known: CodeBook | None
) -> ProfileEvidence | None:
    """Return the evidence of a profile for its candidates; None if none is believable."""
    judgement = judge(candidates, known)
    if judgement is None or (judgement.error == 1.0 and judgement.misprint is None):
        return None
    best = judgement.misprint or judgement.candidates[0]
    line = pooled.turn() if best.turned else pooled
    start, module = (float(value) for value in best.fit.pose[:2])
    corners = line.corners(start, start + len(best.bits) * module)
    if judgement.misprint is not None:
        return ProfileEvidence((), judgement.error, corners, ("grey",), best.number)
    methods = ("grey", "book") if best.listed else ("grey",)
    numbers = tuple(candidate.number for candidate in judgement.candidates)
    return ProfileEvidence(numbers, judgement.error, corners, methods)
