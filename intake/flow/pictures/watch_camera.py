"""A camera or a video file, watched: each book shown to it gives one reading."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from intake.edges import camera
from intake.edges.decoder_faults import refusing
from intake.flow.pictures.read_files import NOT_READ
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.frame_pool import FramePool
from intake.reading.read import read


def watch(source: int | Path, decoders: Sequence[Decoder], known: CodeBook | None = None) -> Iterator[Reading]:
    """Read frame after frame and give each book's reading as soon as the frames together are sure of it.

    Args:
        source: the number of a camera, or a video file.
        decoders: general decoders.
        known: the catalog's numbers, if there is a catalog.

    Raises:
        FileError: the camera or file cannot be opened, or a frame cannot be read.
    """
    pool = FramePool()
    for grey in camera.frames(source):
        with refusing("A frame", NOT_READ, "try another camera or file"):
            readings = read(grey, decoders=decoders, known=known)
        pool, new = pool.add(readings)
        yield from new
