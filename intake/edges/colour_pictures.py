"""Picture files as arrays in colour, and arrays as picture files: for what is compared by its colours."""

import io
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image

from intake.edges.atomic_write import write_whole
from intake.edges.pictures import apply_exif_orientation, fingerprint, flatten_on_white, opened, stretch_to_8_bits
from intake.errors import FileError

Colours = npt.NDArray[np.uint8]

QUALITY = 88
LONGEST_PX = 32_000
"""Longer pictures cannot be laid over each other: OpenCV counts their pixels in 16 bits, with a sign."""
SUFFIXES = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}


def load_colours(path: Path) -> Colours:
    """Open one picture file: uint8, height by width by 3, red first, upright.

    Raises:
        FileError: the file is missing, unreadable, empty, not a picture, damaged, or has too many pixels.
    """
    fingerprint(path)
    with opened(path, longest_px=LONGEST_PX) as image:
        image.load()
        return colours_of(apply_exif_orientation(image))


def colours_of(image: Image.Image) -> Colours:
    """Return the pixels of an upright picture; those of 16 or 32 bits are stretched to 8, and grey."""
    if image.mode[0] in "IF":
        grey = stretch_to_8_bits(np.asarray(image, np.float32))
        return np.ascontiguousarray(np.repeat(grey[..., None], 3, axis=2))
    if image.has_transparency_data:
        image = flatten_on_white(image)
    return np.array(image.convert("RGB"), dtype=np.uint8, order="C")


def shrunk(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Return an open picture within this width and height: upright, on white, and no more of its file than its pixels.

    Libraries write what else a file tells, such as a comment, into the next file too.
    """
    image.draft("RGB", size)
    image.load()
    upright = apply_exif_orientation(image)
    upright.thumbnail(size)
    return Image.fromarray(colours_of(upright))


def save_colours(picture: Colours, path: Path) -> None:
    """Write a picture whole, in the format that its name ends in.

    Raises:
        FileError: the name ends in none of .jpg, .png and .webp, or the file cannot be written.
    """
    form = SUFFIXES.get(path.suffix.lower())
    if form is None:
        raise FileError(str(path), "names no format of pictures that can be written", "end it in .jpg, .png or .webp")
    out = io.BytesIO()
    Image.fromarray(picture).save(out, form, quality=QUALITY)
    write_whole(path, out.getvalue())


def jpeg_of(picture: Colours, longest_px: int) -> bytes:
    """Return a picture as a JPEG file, its longer side no longer than this."""
    scale = min(longest_px / max(picture.shape[:2]), 1.0)
    small = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else picture
    out = io.BytesIO()
    Image.fromarray(np.asarray(small, np.uint8)).save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
