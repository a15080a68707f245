"""Photographs of copies made ready for a page: fetched from the library folder, checked, scaled for print."""

from collections.abc import Iterable, Mapping

from intake.documents.photographs import HEIGHT_MM
from intake.edges import print_pictures
from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.model.condition import CopyPicture
from intake.model.schedules import Photograph
from intake.model.sightings import Picture

WIDTH_MM = 60.0
"""A third of a page; see `intake.documents.photographs`."""
WORKERS = 2


def photographs_of(
    library: Library, records: LibraryReader, shown: Iterable[CopyPicture], titles: Mapping[str, str]
) -> tuple[Photograph, ...]:
    """Make photographs ready, in the order given; what cannot be had says why.

    Args:
        library: whose folder holds the files.
        records: the library at one moment.
        shown: which, of which copies.
        titles: accession number -> what stands under it.
    """
    wanted = list(shown)
    kept = records.get_many(Picture, (one.picture for one in wanted))
    paths = {one.picture: library.picture_path(one.picture) for one in wanted}
    scaled = {one.sha256: one for one in print_pictures.scale(paths, width_mm=WIDTH_MM, height_mm=HEIGHT_MM,
                                                              workers=WORKERS)}  # fmt: skip
    out: list[Photograph] = []
    for one in wanted:
        picture, ready = kept[one.picture], scaled[one.picture]
        caption = ", ".join(filter(None, (titles.get(one.copy, ""), one.note)))
        out.append(
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
    return tuple(out)
