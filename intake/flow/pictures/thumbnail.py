"""A stored picture, scaled down for a screen."""

from functools import lru_cache
from pathlib import Path

from intake.edges.thumbnails import shrink


@lru_cache(maxsize=200)
def thumbnail(path: Path, longest_px: int) -> bytes:
    """Return a picture as JPEG whose longer side has at most so many pixels; the latest are kept in memory."""
    return shrink(path, longest_px)
