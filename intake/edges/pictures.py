"""From picture files to upright grey arrays.

`find` expands files and folders to a sorted list of picture files; `load` opens one. Whatever the file contains
(colour, palette, transparency, 16 bits, CMYK, several frames, an EXIF orientation) is converted to one grey picture,
upright, 8 bits: that is all that reading needs. The header is read, and the size checked, before a pixel is decoded.

Only the first page or frame is used, and how many there are is counted; no file is changed.

Sources: EXIF 2.32 (CIPA DC-008), tag 0x0112 orientation; ITU-R BT.601 luma as the grey of a colour; TIFF 6.0, tag 254
NewSubfileType.
"""

import hashlib
import threading
import warnings
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps, UnidentifiedImageError
from PIL.TiffImagePlugin import TiffImageFile

from intake.edges import heif_opener
from intake.edges.decoder_faults import REMEDY, reason, refusing
from intake.errors import FileError
from intake.model.sightings import Picture

SUFFIXES = frozenset({".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif"})
"""Suffixes of picture files in a folder; a file that is given by name is opened whatever its suffix."""
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF", "BMP", "GIF", "PPM")
"""Formats that are opened (of several JPEGs in one file, MPO, the first). Formats that run other programs, or describe
drawings, are not."""
LARGEST_PX = 50_000_000
LARGEST_BYTES = 500_000_000
"""More than 50 megapixels of 16-bit colour with transparency need uncompressed."""
LONGEST_PX = 65_535
"""The longest side that JPEG can hold (ITU-T T.81, 16 bits) and that zxing-cpp takes; scanners give strips as long."""
SUBFILE_TYPE = 254
NO_PAGE = 0b101
"""Bits of that tag: a page is a reduced version of another, or its transparency mask."""

heif_opener.register()


def use_one_core() -> None:
    """Keep what works on pictures in this process to one core: there is a process for each, and they would compete."""
    cv2.setNumThreads(1)


one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """One picture, ready to be read.

    Attributes:
        grey: uint8, height by width, C-contiguous, upright.
        sha256: of the file's bytes, 64 hexadecimal digits.
        media_type: as registered with IANA ("image/jpeg").
        width_px, height_px: of the upright picture.
        name: the file's name without its folder.
        pages: pages or frames in the file, of which this is the first.
    """

    grey: npt.NDArray[np.uint8]
    sha256: str
    media_type: str
    width_px: int
    height_px: int
    name: str
    pages: int = 1

    @property
    def record(self) -> Picture:
        """The record of it in the library, besides the file."""
        return Picture(
            sha256=self.sha256,
            name=self.name,
            media_type=self.media_type,
            width_px=self.width_px,
            height_px=self.height_px,
        )


def find(paths: Iterable[Path]) -> tuple[Path, ...]:
    """List picture files: those given, and those in and below the folders given.

    In folders, files whose names begin with a dot are left out. A file given twice is listed once.

    Returns:
        The files of each path in the order of the paths, those of a folder sorted.

    Raises:
        FileError: a folder cannot be listed. (A missing file is reported by `load`.)
    """
    files: dict[Path, None] = {}
    for path in map(Path, paths):
        if path.is_dir():
            files.update(dict.fromkeys(in_folder(path)))
        else:
            files[path] = None
    return tuple(files)


def passed_over(paths: Iterable[Path]) -> Counter[str]:
    """Count what `find` leaves out in the folders given, by suffix, "" for what has none or is not a file.

    Raises:
        FileError: a folder cannot be listed.
    """
    folders = [path for path in map(Path, paths) if path.is_dir()]
    others = {path for folder in folders for path in _listed(folder) if not _is_picture(path)}
    return Counter(path.suffix.lower() if path.is_file() else "" for path in others)


def in_folder(folder: Path) -> list[Path]:
    """Return the picture files in a folder and below it, sorted."""
    return [path for path in _listed(folder) if _is_picture(path)]


def _is_picture(path: Path) -> bool:
    return path.suffix.lower() in SUFFIXES and path.is_file()


def _listed(folder: Path) -> list[Path]:
    """Return whatever is in a folder and below it but folders and what is hidden, sorted."""
    try:
        inside = sorted(path for path in folder.rglob("*") if not path.is_dir())
    except OSError as error:
        raise FileError(str(folder), f"cannot be listed ({reason(error)})", "check that you may read it") from error
    return [path for path in inside if not any(part.startswith(".") for part in path.relative_to(folder).parts)]


def load(path: Path) -> Loaded:
    """Open one picture file.

    Raises:
        FileError: the file is missing, unreadable, empty, not a picture, damaged, larger than 50 megapixels or longer
            than 65,535 pixels.
    """
    path = Path(path)
    digest = fingerprint(path)
    with opened(path) as image:
        media_type = media_type_of(image)
        grey = upright_grey(image)
        pages = count_pages(image)
    return Loaded(grey, digest, media_type, grey.shape[1], grey.shape[0], path.name, pages)


@contextmanager
def opened(path: Path, *, longest_px: int = LONGEST_PX) -> Iterator[Image.Image]:
    """Open one picture file; what fails while its pixels are decoded inside the block refuses it too.

    Raises:
        FileError: the file is not a picture, damaged, or has too many pixels, in all or along its longer side.
    """
    with without_warnings(), refusing(str(path), "is damaged or cut short"):
        try:
            # Given a path instead of an open file, Pillow maps raw TIFFs into memory with a wrong shape if rotated.
            with path.open("rb") as file, Image.open(file, formats=FORMATS) as image:
                check_size(path, image, longest_px)
                yield image
        except UnidentifiedImageError as error:
            raise FileError(str(path), "is not a picture in a format that can be read", REMEDY) from error
        except Image.DecompressionBombError as error:
            raise too_large(path, "far more than 50") from error


def fingerprint(path: Path) -> str:
    """Return the SHA-256 of a file; refuse one that is missing, unreadable, empty or absurdly large."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise FileError(str(path), "is a folder", "give a picture file")
        if size == 0:
            raise FileError(str(path), "is empty", "copy the picture again")
        if size > LARGEST_BYTES:
            raise FileError(str(path), f"has {size // 1_000_000} megabytes, too many for a picture", REMEDY)
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError as error:
        raise FileError(str(path), "does not exist", "check the name") from error
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({reason(error)})", "check that you may read it") from error


def check_size(path: Path, image: Image.Image, longest_px: int) -> None:
    """Refuse a picture whose header states too many pixels."""
    if image.width * image.height > LARGEST_PX:
        raise too_large(path, f"{image.width * image.height / 1e6:.0f}")
    if (longest := max(image.size)) > longest_px:
        why = f"is {longest:,} pixels long, more than the limit of {longest_px:,}"
        raise FileError(str(path), why, "scale it down or crop it")


def too_large(path: Path, megapixels: str) -> FileError:
    """Return the error for a picture that is too large."""
    return FileError(str(path), f"has {megapixels} megapixels, more than the limit of 50", "scale it down or crop it")


@contextmanager
def without_warnings() -> Iterator[None]:
    """Suppress the libraries' warnings about unusual files; the filters are global, so one caller at a time."""
    with one_at_a_time, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def media_type_of(image: Image.Image) -> str:
    """Return the IANA media type; an MPO file, as written by several phones, is a JPEG."""
    return "image/jpeg" if image.format in ("JPEG", "MPO") else Image.MIME.get(image.format or "", "image/unknown")


def count_pages(image: Image.Image) -> int:
    """Count the pages or frames of an open picture whose first is decoded; of a damaged file those before the damage.

    In a JPEG file, what follows the first picture is the camera's: a preview, or a map of depth or light.
    """
    if image.format in ("JPEG", "MPO"):
        return 1
    pages = 0
    with suppress(Exception):  # the end; or whatever damage makes the library throw, the first page is there
        if not isinstance(image, TiffImageFile):
            return int(getattr(image, "n_frames", 1))
        for nth in count():
            image.seek(nth)
            pages += not int(image.tag_v2.get(SUBFILE_TYPE, 0)) & NO_PAGE
    return max(pages, 1)


def upright_grey(image: Image.Image) -> npt.NDArray[np.uint8]:
    """Decode the first frame to grey and apply the EXIF orientation."""
    if image.format in ("JPEG", "MPO"):
        # JPEG stores luma separately: decoding it alone gives the same grey in half the time and memory.
        image.draft("L", image.size)
    image.load()
    image = apply_exif_orientation(image)
    if image.mode[0] in "IF":
        return stretch_to_8_bits(np.asarray(image, np.float32))
    if image.has_transparency_data:
        image = flatten_on_white(image)
    return np.array(image.convert("L"), dtype=np.uint8, order="C")


def apply_exif_orientation(image: Image.Image) -> Image.Image:
    """Apply the EXIF orientation; an invalid one is ignored."""
    try:
        return ImageOps.exif_transpose(image)
    except Exception:  # noqa: BLE001 - whatever a broken EXIF block makes the library throw, the pixels are there
        return image


def flatten_on_white(image: Image.Image) -> Image.Image:
    """Return a transparent picture on a white background."""
    colours = image.convert("RGBA")
    paper = Image.new("RGBA", colours.size, "white")
    paper.alpha_composite(colours)
    return paper


def stretch_to_8_bits(values: npt.NDArray[np.float32]) -> npt.NDArray[np.uint8]:
    """Scale values from their minimum to their maximum to 0 … 255, because often only 12 of 16 bits are used."""
    low, high = float(values.min()), float(values.max())
    if not high > low:
        return np.full(values.shape, 255 if high > 0 else 0, np.uint8)
    return np.ascontiguousarray((values - low) * (255.0 / (high - low)) + 0.5, dtype=np.uint8)
