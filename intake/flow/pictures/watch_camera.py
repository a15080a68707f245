"""A camera or a video file, watched: each book shown to it gives one reading."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from intake.edges import camera
from intake.edges.decoder_faults import refusing
from intake.flow.pictures.read_files import NOT_READ
from intake.model.readings import Reading
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.frame_pool import FramePool
from intake.reading.read import read


def watch(
    source: int | Path,
    decoders: Sequence[Decoder],
    known: CodeBook | None = None,
    *,
    on_cut: Callable[[str], None] = lambda _: None,
) -> Iterator[Reading]:
    """Read frame after frame and give each book's reading as soon as the frames together are sure of it.

    Args:
        source: the number of a camera, or a video file.
        decoders: general decoders.
        known: the catalog's numbers, if there is a catalog.
        on_cut: called at the end of a video file that has fewer frames than it should have, with a sentence on it.

    Raises:
        FileError: the camera or file cannot be opened, or a frame cannot be read.
    """
    pool = FramePool()
    shown = 0
    stated = camera.stated_frames(source) if isinstance(source, Path) else 0
    for grey in camera.frames(source):
        shown += 1
        with refusing("A frame", NOT_READ, "try another camera or file"):
            readings = read(grey, decoders=decoders, known=known)
        pool, new = pool.add(readings)
        yield from new
    if isinstance(source, Path) and (cut := camera.cut_short(source, stated, shown)):
        on_cut(str(cut))
