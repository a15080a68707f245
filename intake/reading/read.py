"""The order of work for one picture: grey array in, readings out.

1. The picture as it is, with zxing-cpp alone: fast, and sufficient for a sharp picture.
2. Each symbol found is turned upright, cropped with its supplement, and decoded with every decoder. Where they agree,
   it is accepted.
3. Regions of parallel edges that no accepted reading explains, first those found at low resolution, are turned upright.
   They are read from the edges of their bars, which need not be evenly spaced; what remains is decoded in a few
   versions, and in more where one of these gave something.
4. Bars still without an accepted number: their grey profile is compared with that of every number, blurred like the
   picture: the numbers of a catalog, if there is one, and all others. Where that says nothing, their digits are read
   band by band.
5. Where nothing is accepted, rows beside straight edges: something may lie over a symbol and leave a strip of it; and
   the grey levels once more where the picture is noisy, after averaging.
6. If nothing was found at all, and there is texture, the whole picture is rotated, then inverted.
7. If there are edges to the right of an accepted symbol and no supplement was agreed on, that part is decoded again,
   and then its grey levels are compared, using the known symbol beside it.

`intake.reading.vote` defines which votes are sufficient, `intake.reading.calibration` how much the grey profile counts,
and `intake.reading.fuse` how the two are combined. A wrong number accepted is far worse than a symbol not read, for
which the person only scans again.
"""

from collections.abc import Sequence
from itertools import islice

import cv2
import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.band_digits import read_bands
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.grey_profile import margin_contrast
from intake.reading.locate import (
    WORKING_PX,
    count_edges_across,
    crispness,
    has_texture,
    is_part,
    likeliest_faint,
    locate,
)
from intake.reading.noisy import read_noisy
from intake.reading.probes import (
    CLEARLY_FRAMED,
    FRAMED,
    bar_correlation,
    edge_evidence,
    evidence_on_reading,
    profile_evidence,
    vote_on_other_views,
    vote_on_picture,
    vote_on_region,
    vote_on_symbol,
)
from intake.reading.strips import read_strips
from intake.reading.supplements import read_supplements, with_unread_supplements
from intake.reading.symbol_forms import SymbolForm
from intake.reading.symbologies import EAN8, symbology_of
from intake.reading.versions import FIRST, REST, SLIGHT, Version

EdgeCounts = dict[tuple[Point, ...], int]
"""Corners of regions, strongest first, with the number of edges across each."""
FEWEST_BARS = 14
"""Regions with fewer edges are shadows or the edges of pages, and are not decoded."""
CRISP, ALIKE = 0.66, 0.9
"""Crispness, and correlation with the number's bars, above which decoders that agree need no confirmation."""
COARSE_PX = 320
"""The longer side at which regions are first located; at least half the picture's own."""
SEVERAL_BARS = 20
"""Edges counted of a UPC-E's 34 where they are sharp enough to be read one by one."""
MOST_PLACES = 3
"""Regions that are processed besides the strongest: those with most edges."""
MANY_BARS = 30
"""Half of the 60 edges of an EAN-13."""
PALE = 2
"""Most regions of weak edges that are processed."""
BANDED = 1
"""Most regions of strong edges, and of weak ones, that are read band by band."""
PROFILES = 1
"""Most faint regions whose grey profile is compared."""
FEW, FEWER = 4, 2
"""Versions in which the strongest region, and any other, is tried before it is given up: of the pictures that the
benchmarks show, only those gained by later versions in which one of these gave something."""


def read(grey: Grey, *, decoders: Sequence[Decoder], known: CodeBook | None = None) -> tuple[Reading, ...]:
    """Read every symbol in a picture.

    Args:
        grey: uint8, height by width, upright.
        decoders: those of `intake.reading.decoders.available`; the first is used most.
        known: the numbers of the catalog, made once with `CodeBook.of`; other numbers are read too.

    Returns:
        Accepted and doubtful readings, best first, corners in pixels of the picture.
    """
    evidence = Evidence(len(decoders))
    if grey.size == 0 or not decoders:
        return ()
    grey = np.ascontiguousarray(grey)
    decode_whole(grey, evidence, decoders)
    verify_with_profile(grey, evidence, known)
    places = find_striped_regions(grey, evidence, coarse=True)
    if not evidence.accepted() and max(grey.shape) > COARSE_PX:
        for corners in list(places)[:1]:
            try_variant(grey, corners, [SLIGHT], evidence, decoders)
        # Once a number is accepted, only another book beside it remains to be found.
        places = unexplained_regions(places, evidence) if evidence.accepted() else find_striped_regions(grey, evidence)
    decode_edges(grey, evidence, decoders, places)
    decode_variants(grey, evidence, decoders, places)
    pale = [] if evidence.accepted() else [region.corners for region in locate(grey, pale=True, most=PALE)]
    decode_edges(grey, evidence, decoders, {corners: count_edges_across(grey, corners) for corners in pale})
    match_profile(grey, evidence, known, places, pale)
    textured = not evidence.accepted() and has_texture(grey)
    if textured:
        count_bands(grey, evidence, [*list(places)[:BANDED], *pale[:BANDED]])
        read_strips(grey, evidence, decoders, known)
    if not evidence.accepted():
        read_noisy(grey, evidence, known)
    if not evidence.accepted():
        for corners in places:
            if evidence.has_votes_in(corners):
                try_variant(grey, corners, REST, evidence, decoders)
    recrop_and_retry(grey, evidence, decoders)
    verify_with_profile(grey, evidence, known)
    if textured and not evidence.votes and not evidence.profiles:
        evidence.add(vote_on_other_views(grey, decoders))
    read_supplements(grey, evidence, decoders)
    return with_unread_supplements(grey, evidence)


def skim(grey: Grey, *, decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Read only what the first, fast steps find: for video, where the next frame may be better.

    Arguments and result are those of `read`.
    """
    evidence = Evidence(len(decoders))
    if grey.size == 0 or not decoders:
        return ()
    decode_whole(grey, evidence, decoders)
    read_supplements(grey, evidence, decoders)
    return with_unread_supplements(grey, evidence)


def decode_whole(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Decode the whole picture once with the first decoder, then each symbol found with the other decoders."""
    # A slanted scan line that leaves a long symbol near its middle looks just like a short symbol, which is therefore
    # accepted only when it is read upright.
    votes = [vote for vote in vote_on_picture(grey, decoders[0]) if vote.symbol.form is not SymbolForm.SHORT]
    evidence.add(votes)
    for vote in votes:
        if vote.symbol.form is not SymbolForm.OWN:
            # The first decoder has voted; another vote of its own would add little.
            evidence.add(vote_on_symbol(grey, vote.symbol.corners, decoders[1:] or decoders))


def verify_with_profile(grey: Grey, evidence: Evidence, known: CodeBook | None) -> None:
    """Check accepted readings against the grey profile: both decoders may misread a damaged symbol in the same way."""
    for reading in evidence.accepted():
        if is_long(reading, evidence) and reading.number not in evidence.checked:
            evidence.checked.add(reading.number)
            if crispness(grey, reading.corners) < CRISP or bar_correlation(grey, reading) < ALIKE:
                evidence.add_profile(evidence_on_reading(grey, reading, known))


def is_long(reading: Reading, evidence: Evidence) -> bool:
    """Return whether decoders read the number from a long symbol."""
    return any(vote.symbol.number == reading.number and vote.symbol.form is SymbolForm.LONG for vote in evidence.votes)


def find_striped_regions(grey: Grey, evidence: Evidence, *, coarse: bool = False) -> EdgeCounts:
    """Find regions of many edges that no accepted reading explains, strongest first; `coarse` misses small ones."""
    size = max(COARSE_PX, max(grey.shape) // 2) if coarse else WORKING_PX
    regions = [region.corners for region in locate(grey, working_px=min(size, WORKING_PX))]
    edge_counts = {corners: count_edges_across(grey, corners) for corners in regions if not evidence.explains(corners)}
    likely = {*list(edge_counts)[:1], *sorted(edge_counts, key=lambda corners: -edge_counts[corners])[:MOST_PLACES]}
    return {corners: bars for corners, bars in edge_counts.items() if bars >= FEWEST_BARS and corners in likely}


def unexplained_regions(places: EdgeCounts, evidence: Evidence) -> EdgeCounts:
    """Return the regions that no accepted reading explains."""
    return {corners: bars for corners, bars in places.items() if not evidence.explains(corners)}


def decode_edges(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder], places: EdgeCounts) -> None:
    """Read regions from the edges of their bars, and decode again what is found."""
    for corners, bars in places.items():
        if bars >= SEVERAL_BARS and not evidence.explains(corners):
            edges = edge_evidence(grey, evidence.profile_of(grey, corners))
            evidence.add_profile(edges)
            if edges and edges.numbers:
                evidence.add(vote_on_symbol(grey, edges.corners, decoders))


def decode_variants(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder], places: EdgeCounts) -> None:
    """Decode each region in the first few versions, and in all of `FIRST` where anything was read."""
    for i, corners in enumerate(places):
        few = FEW if i == 0 else FEWER
        if try_variant(grey, corners, FIRST[:few], evidence, decoders):
            try_variant(grey, corners, FIRST[few:], evidence, decoders)


def match_profile(
    grey: Grey, evidence: Evidence, known: CodeBook | None, places: EdgeCounts, pale: Sequence[tuple[Point, ...]]
) -> None:
    """Compare the grey profile of the likeliest bars with all numbers.

    Where nothing was accepted, the next with clear paper beside them are compared too.
    """
    for reading in evidence.doubtful():
        if is_long(reading, evidence) or symbology_of(reading.number) is EAN8:
            evidence.add_profile(evidence_on_reading(grey, reading, known))
    crowded = [corners for corners, bars in places.items() if bars >= MANY_BARS]
    likely = likeliest_bars(grey, evidence, crowded)
    for corners in likely:
        if not evidence.profiles and not evidence.explains(corners):  # a grey profile already showed a symbol
            evidence.add_profile(profile_evidence(grey, evidence.profile_of(grey, corners), known))
    others = () if evidence.accepted() else (*crowded[:PROFILES], *pale)
    pooled_others = (evidence.profile_of(grey, corners) for corners in others if corners not in likely)
    framed = (each for each in pooled_others if each and margin_contrast(each, grey) <= CLEARLY_FRAMED)
    for pooled in islice(framed, PROFILES):
        evidence.add_surer_profile(profile_evidence(grey, pooled, known))


def likeliest_bars(grey: Grey, evidence: Evidence, crowded: list[tuple[Point, ...]]) -> list[tuple[Point, ...]]:
    """Return the regions whose grey profile is compared first.

    If nothing was accepted, faint bars are located too; otherwise only a region with as many edges as a sharp symbol
    may be another symbol.
    """
    if evidence.accepted():
        return crowded[:1]
    likely = likeliest_faint(grey, most=PROFILES)
    # Noise looks like a texture on plain paper; averaging removes it. What is found all the same may be a part.
    averaged = likeliest_faint(np.asarray(cv2.blur(grey, (3, 3)), np.uint8), most=PROFILES)
    if not likely or (averaged and is_part(likely[0], averaged[0])):
        likely += averaged
    return likely or crowded[:PROFILES] or [reading.corners for reading in evidence.doubtful()[:1]]


def count_bands(grey: Grey, evidence: Evidence, places: Sequence[tuple[Point, ...]]) -> None:
    """Read digits band by band where no other comparison of the bars says anything: folds and glare spoil every row."""
    for corners in places:
        if not evidence.profiles and not evidence.accepted():
            pooled = evidence.profile_of(grey, corners)
            if pooled is None or margin_contrast(pooled, grey) <= FRAMED:
                evidence.add_profile(read_bands(grey, corners))


def try_variant(
    grey: Grey, corners: tuple[Point, ...], versions: Sequence[Version], evidence: Evidence, decoders: Sequence[Decoder]
) -> int:
    """Decode a region in one version after the other until an accepted reading explains it; return the votes added."""
    counted = 0
    for version in versions:
        if evidence.explains(corners):
            break
        votes = vote_on_region(grey, corners, f"region at {corners[0]}", version, decoders)
        new_votes = [vote for vote in votes if not evidence.has_accepted(vote.symbol.number, corners)]
        if votes and not new_votes:
            break  # a region much larger than its symbol, already read: in its crop, the bars look like another copy
        counted += evidence.add(new_votes)
    return counted


def recrop_and_retry(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Crop doubtful symbols again, by the outline of what was read, and decode them in the first versions."""
    for reading in evidence.doubtful():
        if not set(reading.methods).isdisjoint(decoder.name for decoder in decoders):
            try_variant(grey, reading.corners, FIRST, evidence, decoders)
