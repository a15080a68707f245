"""One look at a part of the picture: cut it out, clean it, show it to the decoders, and carry back what they read."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from intake.model.readings import Point
from intake.reading.decoders import Decoded, Decoder
from intake.reading.geometry import WITH_SUPPLEMENT, Grey, lengthened, mapped, resized, width_of
from intake.reading.outline import outline
from intake.reading.rectify import Crop, rectify, turned, whole
from intake.reading.versions import PLAIN, Version
from intake.reading.vote import Vote

HALF = 0.6
"""An outline of which the ends are not known, narrower than so much of what was cut out, is half of it."""
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
    target: tuple[Point, ...] | None = None,
) -> list[Vote]:
    """Show one crop to the decoders.

    Args:
        crop: what they are shown.
        version: how it was cleaned and scaled.
        cut: what was cut out of the picture.
        decoders: who is asked.
        own: also for the project's own labels.
        target: what the crop was cut out for, in pixels of the picture.

    Returns:
        A vote for each symbol that each decoder read, its outline in pixels of the picture.
    """
    votes = []
    for decoder in decoders:
        for symbol in decoder.decode(crop.grey, own=own):
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
    crop = rectify(grey, corners, version.width_px)
    return cast(replace(crop, grey=version.clean(crop.grey)), version.name, cut, decoders, own=True, target=corners)


def at_symbol(
    grey: Grey, corners: tuple[Point, ...], decoders: Sequence[Decoder], version: Version = PLAIN
) -> list[Vote]:
    """Look at a symbol whose outline is known, turned upright, with room for its supplement."""
    if width_of(corners) < 1:
        return []
    crop = rectify(
        grey, lengthened(corners, WITH_SUPPLEMENT), round(version.width_px * WITH_SUPPLEMENT), side=0.09, tallest_px=100
    )
    return cast(
        replace(crop, grey=version.clean(crop.grey)), f"outline, {version.name}", "outline", decoders, target=corners
    )


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
