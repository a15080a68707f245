"""The order of work for one picture: grey array in, readings out.

1. The picture as it is, zxing-cpp alone: quick, and enough for a sharp picture.
2. Each symbol found is turned upright, cropped with its supplement, and shown to every decoder. Where they agree, it is
   done.
3. Regions of parallel edges that no accepted reading explains are turned upright and shown in one version after the
   other, until the votes are enough or the versions are used up.
4. Where nothing was found at all, the whole picture is turned, and inverted.

Which votes are enough is told in `intake.reading.vote`. A wrong number accepted is far worse than a symbol not read:
the person scans again.

Does not read what no general decoder can binarise, and does not look into a catalog.
"""

from collections.abc import Sequence

import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.decoders import Decoder
from intake.reading.geometry import Grey
from intake.reading.locate import bars_across, locate
from intake.reading.look import at_all, at_other_views, at_region, at_symbol
from intake.reading.symbols import Form
from intake.reading.tally import Tally
from intake.reading.versions import CLEAR, FIRST, PLAIN, REST, Version
from intake.reading.vote import add_on, add_on_votes, places

FEWEST_BARS = 14
"""Regions with fewer edges are shadows and the edges of pages, and no decoder is asked."""
FEW = 4
"""So many versions of a region are tried before it is given up; of the strongest, all of the first."""


def read(grey: Grey, *, decoders: Sequence[Decoder]) -> tuple[Reading, ...]:
    """Read every symbol in a picture.

    Args:
        grey: uint8, height by width, upright.
        decoders: what `intake.reading.decoders.available` returned; the first is asked most.

    Returns:
        Accepted readings and doubtful ones, best first, corners in pixels of the picture.
    """
    tally = Tally(len(decoders))
    if grey.size == 0 or not decoders:
        return ()
    grey = np.ascontiguousarray(grey)
    glance(grey, tally, decoders)
    explore(grey, tally, decoders)
    persist(grey, tally, decoders)
    if not tally.votes:
        tally.add(at_other_views(grey, decoders))
    supplement(grey, tally, decoders)
    return tally.readings()


def glance(grey: Grey, tally: Tally, decoders: Sequence[Decoder]) -> None:
    """Take what one look at the whole picture shows, and show each symbol of it to every decoder."""
    seen = at_all(grey, decoders[0])
    # A slanted scan line that leaves a long symbol by its middle looks just like a short one, so that a short one
    # counts only when it is read upright.
    tally.add(each for each in seen if each.symbol.form is not Form.SHORT)
    for each in seen:
        if each.symbol.form is not Form.OWN:
            tally.add(at_symbol(grey, each.symbol.corners, decoders))


def explore(grey: Grey, tally: Tally, decoders: Sequence[Decoder]) -> None:
    """Climb the ladder of versions at every region that no accepted reading explains."""
    unexplained = [region.corners for region in locate(grey) if not tally.explains(region.corners)]
    striped = [corners for corners in unexplained if bars_across(grey, corners) >= FEWEST_BARS]
    for i, corners in enumerate(striped):
        found = climb(grey, corners, FIRST if i == 0 else FIRST[:FEW], tally, decoders)
        if found:
            climb(grey, corners, REST if i == 0 else (*FIRST[FEW:], *REST), tally, decoders)


def climb(
    grey: Grey, corners: tuple[Point, ...], ladder: Sequence[Version], tally: Tally, decoders: Sequence[Decoder]
) -> int:
    """Show a region in one version after the other until an accepted reading explains it; return the votes it gave."""
    found = 0
    for version in ladder:
        if tally.explains(corners):
            break
        found += tally.add(at_region(grey, corners, f"region at {corners[0]}", version, decoders))
    return found


def persist(grey: Grey, tally: Tally, decoders: Sequence[Decoder]) -> None:
    """Cut doubtful symbols out anew, by the outline of what was read, and climb the ladder once more."""
    for reading in tally.doubtful():
        climb(grey, reading.corners, (*FIRST, *REST), tally, decoders)


def supplement(grey: Grey, tally: Tally, decoders: Sequence[Decoder]) -> None:
    """Look again beside symbols where a supplement was not looked for yet, or was read but not surely."""
    for version in (PLAIN, CLEAR):
        for place in places(tally.votes):
            looked = any(each.cut == "outline" for each in place.votes)
            doubtful = bool(add_on_votes(place)) and add_on(place) is None
            if place.form is Form.LONG and (not looked if version is PLAIN else doubtful):
                tally.add(at_symbol(grey, place.corners, decoders, version))
