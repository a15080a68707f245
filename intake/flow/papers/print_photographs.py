"""Photographs of copies made ready for a page: read from the library's folder, checked, scaled for print."""

from collections.abc import Iterable, Mapping

from intake.documents.photographs import HEIGHT_MM
from intake.edges import print_pictures
from intake.flow.papers.paper import PaperSource
from intake.model.condition import CopyPicture
from intake.model.schedules import Photograph
from intake.model.sightings import Picture

WIDTH_MM = 60.0
"""A third of a page; see `intake.documents.photographs`."""
WORKERS = 2


def photographs_of(
    source: PaperSource,
    pictures: Iterable[CopyPicture],
    titles: Mapping[str, str],
    size_mm: tuple[float, float] = (WIDTH_MM, HEIGHT_MM),
) -> tuple[Photograph, ...]:
    """Return photographs ready for print, in the order given; one that cannot be shown says why.

    Args:
        source: of the paper; the folder of its library holds the files.
        pictures: which, of which copies.
        titles: accession number -> what stands under it.
        size_mm: the greatest width and height at which they are printed.
    """
    shown = list(pictures)
    records = source.reader.get_many(Picture, (one.picture for one in shown))
    paths = {one.picture: source.library.picture_path(one.picture) for one in shown}
    scaled = {
        ready.sha256: ready
        for ready in print_pictures.scale(
            paths, width_mm=size_mm[0], height_mm=size_mm[1], workers=WORKERS, library=source.library.folder
        )
    }
    photographs: list[Photograph] = []
    for one in shown:
        picture, ready = records[one.picture], scaled[one.picture]
        caption = ", ".join(filter(None, (titles.get(one.copy, ""), one.note)))
        photographs.append(
            Photograph(
                copy=one.copy,
                caption=caption,
                sha256=one.picture,
                width_px=ready.width_px or picture.width_px,
                height_px=ready.height_px or picture.height_px,
                data=ready.data,
                why=ready.why,
            )
        )
    return tuple(photographs)
