"""The order of work for one picture: grey array in, readings out.

1. The picture as it is, zxing-cpp alone: quick, and enough for a sharp picture.
2. Each symbol found is turned upright, cropped with its supplement, and shown to every decoder. Where they agree, it is
   done.
3. Regions of parallel edges that no accepted reading explains, first those of a coarse look, are turned upright. They
   are read from the edges of their bars, which need not be of even width; what is left is shown in one version after
   the other, until the votes are enough or the versions are used up.
4. Where there are still bars without an accepted number, their grey profile is compared with what each number would
   look like, blurred as the picture is: those of a catalog, where there is one, and all others.
5. Where nothing was found at all, the whole picture is turned, and inverted.
6. Where something stands right of an accepted symbol and no supplement was agreed on, the decoders look again, and then
   the grey levels are read, the symbol beside being known.

Which votes are enough is told in `intake.reading.vote`, what the grey profile is worth in `intake.reading.calibration`,
and how the two are brought together in `intake.reading.fuse`. A wrong number accepted is far worse than a symbol not
read: the person scans again.
"""

from collections.abc import Sequence

import cv2
import numpy as np

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.locate import WORKING_PX, bars_across, crispness, locate
from intake.reading.probes import (
    FEWER_EDGES,
    FEWEST_EDGES,
    at_all,
    at_edges,
    at_other_views,
    at_profile,
    at_reading,
    at_region,
    at_supplement,
    at_symbol,
    edges_beside,
    likeness,
)
from intake.reading.symbol_forms import SymbolForm
from intake.reading.symbologies import EAN8, symbology_of
from intake.reading.versions import CLEAR, FIRST, PLAIN, REST, SLIGHT, Version
from intake.reading.vote import add_on, add_on_votes, places

Places = dict[tuple[Point, ...], int]
"""Regions, strongest first, with the edges counted across each."""
FEWEST_BARS = 14
"""Regions with fewer edges are shadows and the edges of pages, and no decoder is asked."""
CRISP, ALIKE = 0.66, 0.9
"""Crispness, and likeness to the number's bars, from which on decoders that agree need no confirmation."""
COARSE_PX = 320
"""The longer side at which a picture is looked through for regions at first, or half its own if that is more."""
SEVERAL_BARS = 20
"""Of the 34 edges of a UPC-E, as many as are counted where they are sharp enough to be read one by one."""
MOST_PLACES = 3
"""Regions that are gone through, besides the strongest: those with most bars."""
MANY_BARS = 30
"""Half of the 60 edges of an EAN-13."""
FAINT_BARS = 8
"""Edges that are left of an EAN-13's 60 when it is blurred so much that only the code book can read it."""
PALE = 2
"""Regions of weak edges that are looked at."""
PROFILES = 1
"""Faint regions whose grey profile is compared at most."""
FEW = 4
"""So many versions of a region are tried before it is given up; of the strongest, all of the first."""


def read(grey: Grey, *, decoders: Sequence[Decoder], known: CodeBook | None = None) -> tuple[Reading, ...]:
    """Read every symbol in a picture.

    Args:
        grey: uint8, height by width, upright.
        decoders: what `intake.reading.decoders.available` returned; the first is asked most.
        known: the numbers of the catalog, made once with `CodeBook.of`; other numbers are read too.

    Returns:
        Accepted readings and doubtful ones, best first, corners in pixels of the picture.
    """
    evidence = Evidence(len(decoders))
    if grey.size == 0 or not decoders:
        return ()
    grey = np.ascontiguousarray(grey)
    decode_whole(grey, evidence, decoders)
    verify_with_profile(grey, evidence, known)
    places = striped(grey, evidence, coarse=True)
    if not evidence.accepted() and max(grey.shape) > COARSE_PX:
        for corners in list(places)[:1]:
            try_variant(grey, corners, [SLIGHT], evidence, decoders)
        # Once a number is accepted, what is left to find is another book beside it.
        places = unexplained(places, evidence) if evidence.accepted() else striped(grey, evidence)
    decode_edges(grey, evidence, decoders, places)
    decode_variants(grey, evidence, decoders, places)
    if not evidence.accepted():
        pale = [region.corners for region in locate(grey, pale=True, most=PALE)]
        decode_edges(grey, evidence, decoders, {corners: bars_across(grey, corners) for corners in pale})
    match_profile(grey, evidence, known, places)
    if not evidence.accepted():
        for corners in places:
            if evidence.hints(corners):
                try_variant(grey, corners, REST, evidence, decoders)
    recrop_and_retry(grey, evidence, decoders)
    verify_with_profile(grey, evidence, known)
    if not evidence.votes and not evidence.seen:
        evidence.add(at_other_views(grey, decoders))
    supplement(grey, evidence, decoders)
    return evidence.readings()


def skim(grey: Grey, *, decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Read what one glance shows and nothing that is harder to see: for films, of which the next frame may be better.

    Args and returns as `read`.
    """
    evidence = Evidence(len(decoders))
    if grey.size == 0 or not decoders:
        return ()
    decode_whole(grey, evidence, decoders)
    supplement(grey, evidence, decoders)
    return evidence.readings()


def decode_whole(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Take what one look at the whole picture shows, and show each symbol of it to every decoder."""
    # A slanted scan line that leaves a long symbol by its middle looks just like a short one, which is therefore left
    # to be read upright.
    seen = [each for each in at_all(grey, decoders[0]) if each.symbol.form is not SymbolForm.SHORT]
    evidence.add(seen)
    for each in seen:
        if each.symbol.form is not SymbolForm.OWN:
            # The first decoder has said its word; a second one of its own would add little.
            evidence.add(at_symbol(grey, each.symbol.corners, decoders[1:] or decoders))


def verify_with_profile(grey: Grey, evidence: Evidence, known: CodeBook | None) -> None:
    """Hold what decoders agree on against the grey profile: both may be wrong alike of a blurred or spoilt symbol."""
    for reading in evidence.accepted():
        if is_long(reading, evidence) and reading.number not in evidence.confirmed:
            evidence.confirmed.add(reading.number)
            if crispness(grey, reading.corners) < CRISP or likeness(grey, reading) < ALIKE:
                evidence.add_profile(at_reading(grey, reading, known))


def is_long(reading: Reading, evidence: Evidence) -> bool:
    """Tell whether decoders read the number from a long symbol."""
    return any(each.symbol.number == reading.number and each.symbol.form is SymbolForm.LONG for each in evidence.votes)


def striped(grey: Grey, evidence: Evidence, *, coarse: bool = False) -> Places:
    """Find regions of many bars that no accepted reading explains, strongest first; `coarse` leaves out small ones."""
    size = max(COARSE_PX, max(grey.shape) // 2) if coarse else WORKING_PX
    regions = [region.corners for region in locate(grey, working_px=min(size, WORKING_PX))]
    found = {corners: bars_across(grey, corners) for corners in regions if not evidence.explains(corners)}
    likely = {*list(found)[:1], *sorted(found, key=lambda corners: -found[corners])[:MOST_PLACES]}
    return {corners: bars for corners, bars in found.items() if bars >= FEWEST_BARS and corners in likely}


def unexplained(places: Places, evidence: Evidence) -> Places:
    """Leave out the regions that an accepted reading explains."""
    return {corners: bars for corners, bars in places.items() if not evidence.explains(corners)}


def decode_edges(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder], places: Places) -> None:
    """Read regions from the edges of their bars, and what is found so once more with the decoders."""
    for corners, bars in places.items():
        if bars >= SEVERAL_BARS and not evidence.explains(corners):
            seen = at_edges(grey, corners)
            evidence.add_profile(seen)
            if seen and seen.numbers:
                evidence.add(at_symbol(grey, seen.corners, decoders))


def decode_variants(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder], places: Places) -> None:
    """Climb the first rungs of the ladder of versions at each region: all where it gives some sign of itself."""
    for i, corners in enumerate(places):
        if try_variant(grey, corners, FIRST if i == 0 else FIRST[:FEW], evidence, decoders) and i:
            try_variant(grey, corners, FIRST[FEW:], evidence, decoders)


def match_profile(grey: Grey, evidence: Evidence, known: CodeBook | None, places: Places) -> None:
    """Compare the grey profile of the likeliest bars with all numbers.

    Where nothing was accepted, faint bars are looked for too; where something was, only a region with as many bars as a
    sharp symbol may hold another.
    """
    for reading in evidence.doubtful():
        if is_long(reading, evidence) or symbology_of(reading.number) is EAN8:
            evidence.add_profile(at_reading(grey, reading, known))
    crowded = [corners for corners, bars in places.items() if bars >= MANY_BARS]
    if evidence.accepted():
        likely = crowded[:1]
    else:
        # Noise makes a texture of plain paper, which averaging takes out.
        likely = faint(grey) or faint(np.asarray(cv2.blur(grey, (3, 3)), np.uint8)) or crowded[:PROFILES]
        if not likely:
            likely = [reading.corners for reading in evidence.doubtful()[:1]]
    for corners in likely:
        if not evidence.seen and not evidence.explains(corners):  # a symbol that was seen is there, read or not
            evidence.add_profile(at_profile(grey, corners, known))


def faint(grey: Grey) -> list[tuple[Point, ...]]:
    """Find bars that blur has washed out, which the edges of labels and pages outshine."""
    regions = [region.corners for region in locate(grey, faint=True)]
    return [corners for corners in regions if bars_across(grey, corners) >= FAINT_BARS][:PROFILES]


def try_variant(
    grey: Grey, corners: tuple[Point, ...], ladder: Sequence[Version], evidence: Evidence, decoders: Sequence[Decoder]
) -> int:
    """Show a region in one version after the other until an accepted reading explains it; return the votes it gave."""
    found = 0
    for version in ladder:
        if evidence.explains(corners):
            break
        votes = at_region(grey, corners, f"region at {corners[0]}", version, decoders)
        news = [vote for vote in votes if not evidence.holds(vote.symbol.number, corners)]
        if votes and not news:
            break  # an ample region about a symbol that is read: its cut shows the bars slanted, as if of another copy
        found += evidence.add(news)
    return found


def recrop_and_retry(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Cut doubtful symbols out anew, by the outline of what was read, and climb the ladder once more."""
    ladder = FIRST if evidence.accepted() else (*FIRST, *REST)
    for reading in evidence.doubtful():
        if not set(reading.methods).isdisjoint(decoder.name for decoder in decoders):
            try_variant(grey, reading.corners, ladder, evidence, decoders)


def supplement(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Look again beside symbols where something stands that may be a supplement, and none was read surely yet.

    First the decoders do, then its grey levels are compared; blur leaves these fewer edges to go by.
    """
    edges: dict[tuple[Point, ...], int] = {}
    for place in places(evidence.votes):
        if place.form is not SymbolForm.LONG:
            continue
        edges[place.corners] = edges_beside(grey, place.corners)
        if add_on_votes(place) or edges[place.corners] >= FEWEST_EDGES:
            for version in (PLAIN, CLEAR):
                if not any(add_on(each) for each in places(evidence.votes) if each.number == place.number):
                    evidence.add(at_symbol(grey, place.corners, decoders, version))
    for reading in evidence.accepted():
        if reading.add_on is None and reading.kind is not NumberKind.OWN and symbology_of(reading.number) is not EAN8:
            known = edges.get(reading.corners)
            if (edges_beside(grey, reading.corners) if known is None else known) >= FEWER_EDGES:
                evidence.see_beside(at_supplement(grey, reading))
