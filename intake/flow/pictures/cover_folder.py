"""A folder of pictures of covers, each named by what it shows."""

import re
from pathlib import Path

from intake.edges import pictures
from intake.errors import FileError, IntakeError
from intake.flow.pictures.cover_library import CoverAnswer, CoverLibrary, KnownCover, UnusableCover
from intake.flow.pictures.read_files import ReadPicture
from intake.identifiers import own
from intake.model.identifiers import Identifier, OwnKind

REPEATED = re.compile(r"\s*\(\d+\)$")
"""What systems add to the name of a second file of one name."""


def covers_in(folder: Path) -> tuple[tuple[KnownCover, ...], tuple[UnusableCover, ...]]:
    """List the pictures in a folder, and those that cannot be opened.

    A picture is named by what it shows: the number of a copy, or any key of your own ("KEY.jpg"; further ones
    "KEY (2).jpg"); in a folder inside this one it shows what that folder is named by.

    Raises:
        FileError: it is not a folder that can be listed.
    """
    if not folder.is_dir():
        raise FileError(str(folder), "is not a folder", "name the folder that the pictures of covers are in")
    known, unusable = [], []
    for path in pictures.find([folder]):
        inside = path.relative_to(folder)
        try:
            known.append(KnownCover(owner_named(inside), pictures.fingerprint(path), path, inside.as_posix()))
        except IntakeError as error:
            unusable.append(UnusableCover(inside.as_posix(), str(error)))
    return tuple(known), tuple(unusable)


def owner_named(inside: Path) -> str:
    """Return what a picture shows by its name; the number of a copy in its usual form.

    >>> owner_named(Path("AB-12 (2).jpg")), owner_named(Path("AB-12/front.jpg"))
    ('AB-12', 'AB-12')
    """
    name = inside.parts[0] if len(inside.parts) > 1 else REPEATED.sub("", inside.stem)
    read = own.read(name, expect=OwnKind.COPY)
    return read.number if isinstance(read, Identifier) else name


def look_at(library: CoverLibrary, read: ReadPicture) -> CoverAnswer | None:
    """Compare a picture that was read with known covers, but not with itself; None where it could not be opened."""
    if read.picture is None:
        return None
    return library.look(pictures.load(read.path).grey, besides=read.picture.sha256)
