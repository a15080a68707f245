"""Every symbol in a picture of many books: looked for tile by tile, each read by itself.

1. The picture as a whole is read as any other. Symbols that are small in it may be lost: regions are located at
   `locate.WORKING_PX`, where a symbol of 100 pixels in a photograph of 4000 has 40.
2. In tiles, which overlap, regions are located at the picture's own resolution.
3. Each region that no accepted reading explains is cut out of the picture with its surroundings, enlarged, and read as
   the picture of one book is. It is cut by its own outline and not by its tile, so that no edge of a tile makes two
   halves of a symbol.
4. What was read at one place is one reading. Two numbers accepted at one place contradict each other: neither is.

Every book is accepted by its own number only: what stands beside it says nothing about it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import cv2
import numpy as np

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.evidence import is_explained
from intake.reading.fuse import interleave
from intake.reading.geometry import Grey, centre_of, contains, order_along, width_of
from intake.reading.locate import count_edges_across, locate
from intake.reading.read import FEWEST_BARS, read
from intake.reading.vote import overlap

TILE_PX, OVERLAP_PX = 640, 200
"""Side of a tile, and how much of it the next one shows too: a symbol so wide lies whole in one of them."""
IN_A_TILE = 8
"""Most regions of a tile."""
MOST_PLACES = 60
"""Most regions that are read one by one: each takes a tenth of a second."""
ENLARGED_PX = 320
"""Width to which a narrower region is enlarged: three pixels to a module."""
LARGEST = 4.0
"""Greatest factor by which it is enlarged."""
AROUND = 0.7
"""Surroundings that are cut out with a region, as a share of its width: its other half, or its supplement."""

Corners = tuple[Point, ...]


def read_symbols(
    grey: Grey, *, decoders: Sequence[Decoder], known: CodeBook | None = None
) -> tuple[tuple[Reading, ...], int]:
    """Read every symbol in a picture of many books.

    Args:
        grey: uint8, height by width, upright.
        decoders: those of `intake.reading.decoders.available`.
        known: the numbers of the catalog.

    Returns:
        One reading for each symbol, in the order of `in_order`, corners in pixels of the picture; and how many places
        that look like bars were left out.
    """
    readings = list(read(grey, decoders=decoders, known=known))
    places = striped_places(grey)
    for corners in places[:MOST_PLACES]:
        if not is_explained(corners, accepted_in(readings)):
            readings += read_place(grey, corners, decoders, known)
    left_out = sum(not is_explained(corners, accepted_in(readings)) for corners in places[MOST_PLACES:])
    return in_order(merge(readings)), left_out


def accepted_in(readings: Iterable[Reading]) -> list[Reading]:
    """Return the readings that may be booked."""
    return [reading for reading in readings if reading.accepted]


def tiles(height: int, width: int) -> Iterator[tuple[int, int]]:
    """Yield the top and left of each tile; the last of each row and column ends with the picture.

    >>> list(tiles(640, 1000))
    [(0, 0), (0, 360)]
    """
    for top in starts(height):
        for left in starts(width):
            yield top, left


def starts(length: int) -> list[int]:
    """Return where tiles begin along a side."""
    last = max(length - TILE_PX, 0)
    return sorted({*range(0, last, TILE_PX - OVERLAP_PX), last})


def striped_places(grey: Grey) -> list[Corners]:
    """Return the regions of as many edges as bars have, each once, those with most edges first."""
    found: list[tuple[int, Corners]] = []
    for top, left in tiles(*grey.shape):
        tile = np.ascontiguousarray(grey[top : top + TILE_PX, left : left + TILE_PX])
        for region in locate(tile, most=IN_A_TILE):
            edges = count_edges_across(tile, region.corners)
            if edges >= FEWEST_BARS:
                found.append((edges, tuple((x + left, y + top) for x, y in region.corners)))
    found.sort(key=lambda place: (-place[0], -width_of(place[1])))
    places: list[Corners] = []
    for _, corners in found:
        if not any(is_same_place(corners, other) for other in places):
            places.append(corners)
    return places


def is_same_place(corners: Corners, other: Corners) -> bool:
    """Return whether two regions are one: either is about as wide as the other and has its centre inside."""
    alike = 0.6 < width_of(corners) / max(width_of(other), 1.0) < 1.7
    return alike and (contains(other, centre_of(corners)) or contains(corners, centre_of(other)))


def read_place(grey: Grey, corners: Corners, decoders: Sequence[Decoder], known: CodeBook | None) -> Iterator[Reading]:
    """Read one region, enlarged, with its surroundings; yield what is there, corners in pixels of the picture."""
    points = np.array(corners)
    reach = AROUND * width_of(corners)
    left, top = np.maximum(np.floor(points.min(axis=0) - reach), 0).astype(int).tolist()
    right, low = (np.ceil(points.max(axis=0) + reach).astype(int) + 1).tolist()
    part = np.ascontiguousarray(grey[top:low, left:right])
    factor = min(max(ENLARGED_PX / max(width_of(corners), 1.0), 1.0), LARGEST)
    if factor > 1:
        part = np.asarray(cv2.resize(part, None, fx=factor, fy=factor, interpolation=cv2.INTER_CUBIC), np.uint8)
    for reading in read(part, decoders=decoders, known=known):
        # The middle of a pixel is at 0.5 of its side.
        placed = tuple(((x + 0.5) / factor - 0.5 + left, (y + 0.5) / factor - 0.5 + top) for x, y in reading.corners)
        yield replace(reading, corners=placed)


def merge(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Return one reading for each place, the best; where two numbers were accepted there, it is accepted no more.

    A label of the project's own may lie over a symbol: both are kept.
    """
    kept: list[Reading] = []
    for reading in sorted(readings, key=lambda one: (not one.accepted, -one.score)):
        i = next((i for i, other in enumerate(kept) if are_one_place(reading, other)), None)
        if i is None:
            kept.append(reading)
        elif reading.number != kept[i].number:
            contradicted = reading.accepted and kept[i].accepted
            shown = interleave(kept[i].candidates or (kept[i].number,), reading.candidates or (reading.number,))
            if contradicted:
                kept[i] = replace(kept[i], accepted=False, runner_up=reading.number, candidates=shown)
            elif not kept[i].accepted:
                kept[i] = replace(kept[i], runner_up=kept[i].runner_up or reading.number, candidates=shown)
    return tuple(kept)


def are_one_place(reading: Reading, other: Reading) -> bool:
    """Return whether two readings are of one symbol."""
    own = NumberKind.OWN
    return (reading.kind is own) is (other.kind is own) and overlap(reading.corners, other.corners)


def in_order(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return readings in the order in which the books stand, from the left, or lie, from the top."""
    return tuple(readings[i] for i in order_along([centre_of(reading.corners) for reading in readings]))
