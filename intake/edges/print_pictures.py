"""Stored photographs, scaled for print: upright, grey or colour as they are, no larger than on the page.

Several are scaled at a time; the libraries release the interpreter lock while they decode. A file that is missing,
damaged or altered gives a reason, never an exception: the list is printed and states which photographs are missing.
"""

import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat
from pathlib import Path

from PIL import Image

from intake.edges.colour_pictures import shrunk
from intake.edges.pictures import FORMATS, without_warnings
from intake.edges.scaled_cache import ScaledCache
from intake.units.convert import mm_to_px

PRINT_DPI = 150.0
QUALITY = 78
AT_ONCE = 64


@dataclass(frozen=True, slots=True)
class Scaled:
    """One photograph for print: JPEG bytes of an upright picture of this size, or the reason why there are none."""

    sha256: str
    data: bytes | None
    why: str = ""
    width_px: int = 0
    height_px: int = 0


def scale(
    paths: Mapping[str, Path | None],
    *,
    width_mm: float,
    height_mm: float,
    workers: int = 2,
    library: Path | None = None,
) -> Iterator[Scaled]:
    """Scale photographs to fit a rectangle on paper at 150 dots per inch.

    Args:
        paths: SHA-256 -> the file, or None if the library has none.
        width_mm: width of the rectangle.
        height_mm: height of the rectangle.
        workers: number scaled at a time.
        library: the folder in which they are kept as scaled, for the next time; None for nowhere.

    Yields:
        The result for each, in the same order.
    """
    size = (round(mm_to_px(width_mm, PRINT_DPI)), round(mm_to_px(height_mm, PRINT_DPI)))
    jobs = list(paths.items())
    kept = None if library is None or not jobs else ScaledCache(library, f"{size[0]}x{size[1]}-q{QUALITY}")
    with ThreadPoolExecutor(workers) as pool:
        for first in range(0, len(jobs), AT_ONCE):
            # Warnings of the libraries are suppressed for a whole batch, because Python's filters are global.
            with without_warnings():
                batch = jobs[first : first + AT_ONCE]
                done = list(pool.map(_scaled, *zip(*batch, strict=True), repeat(size), repeat(kept)))
            yield from done
    if kept is not None:
        kept.trim()


def _scaled(sha256: str, path: Path | None, size: tuple[int, int], kept: ScaledCache | None) -> Scaled:
    if path is None:
        return Scaled(sha256, None, "its file is missing from the library folder")
    try:
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != sha256:
            return Scaled(sha256, None, "its file was altered: its SHA-256 is not that of its name")
        if kept is not None and (before := kept.load(path, sha256)):
            with Image.open(io.BytesIO(before), formats=("JPEG",)) as image:
                return Scaled(sha256, before, width_px=image.width, height_px=image.height)
        with Image.open(io.BytesIO(data), formats=FORMATS) as image:
            small = shrunk(image, size)
            out = io.BytesIO()
            small.convert("L" if image.mode in ("1", "L", "I;16") else "RGB").save(out, "JPEG", quality=QUALITY)
        if kept is not None:
            kept.save(path, sha256, out.getvalue())
    except Exception:  # noqa: BLE001 - whatever a decoder throws, the list is printed and says which are missing
        return Scaled(sha256, None, "its file cannot be opened as a picture")
    return Scaled(sha256, out.getvalue(), width_px=small.width, height_px=small.height)


def find_altered(paths: Iterable[tuple[str, Path | None]]) -> dict[str, str]:
    """Return "missing" or "altered" by SHA-256, for stored files that are missing or whose digest has changed."""
    states: dict[str, str] = {}
    for sha256, path in paths:
        if path is None or not path.is_file():
            states[sha256] = "missing"
        elif hashlib.sha256(path.read_bytes()).hexdigest() != sha256:
            states[sha256] = "altered"
    return states
