"""Stored pictures in a size and a format that every browser can show."""

import io
from pathlib import Path

from PIL import Image

from intake.edges.colour_pictures import shrunk
from intake.edges.decoder_faults import refusing
from intake.edges.pictures import FORMATS, without_warnings

QUALITY = 80


def shrink(path: Path, longest_px: int) -> bytes:
    """Return a picture, upright, as a JPEG file no longer than `longest_px` on either side.

    It is encoded again, so that nothing else in the file (a location, a script) is passed on.

    Raises:
        FileError: it cannot be read.
    """
    with (
        without_warnings(),
        refusing(f"The picture {path.name}", "cannot be shown"),
        Image.open(path, formats=FORMATS) as image,
    ):
        out = io.BytesIO()
        shrunk(image, (longest_px, longest_px)).save(out, "JPEG", quality=QUALITY)
        return out.getvalue()
