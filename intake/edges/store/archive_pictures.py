"""Pictures taken out of an archive: whatever else is damaged in it, the name of each proves its content."""

import hashlib
import os
import re
from collections.abc import Collection
from pathlib import Path

from intake.edges.store.archive_members import PackedMember, opened_members
from intake.edges.store.archive_reading import BROKEN
from intake.edges.store.archive_writing import PICTURE_PATH
from intake.errors import FileError


def take_pictures(file: Path, wanted: Collection[str], folder: Path) -> set[str]:
    """Write pictures of an archive into the folder of a library, each under its name.

    Args:
        file: the archive.
        wanted: their SHA-256.
        folder: of the library; it has none of these files.

    Returns:
        The SHA-256 of those that the archive has, unaltered.

    Raises:
        FileError: it is not an archive, or cannot be read.
    """
    taken = set()
    try:
        with opened_members(file) as members:
            for name, member in members.by_name.items():
                match = _picture(name)
                is_wanted = match is not None and match[2] in wanted and match[2] not in taken
                if match and is_wanted and not member.is_bomb and _take(member, folder / match[0]):
                    taken.add(match[2])
    except FileNotFoundError as error:
        raise FileError(str(file), "does not exist", "check the name") from error
    except (*BROKEN, OSError) as error:
        raise FileError(str(file), "is no archive, or is damaged", "name another archive") from error
    return taken


def pictures_in(file: Path) -> set[str]:
    """Return the SHA-256 of the pictures that an archive has by its table of contents; of none, nothing."""
    try:
        with opened_members(file) as members:
            return {match[2] for match in map(_picture, members.by_name) if match}
    except (*BROKEN, OSError, FileError):
        return set()


def _picture(name: str) -> re.Match[str] | None:
    """Return the name of a picture, in whichever folder the archive lies that was packed anew."""
    return PICTURE_PATH.fullmatch("/".join(name.split("/")[-3:]))


def _take(member: PackedMember, path: Path) -> bool:
    """Write one picture, and remove it again where it is not what its name says."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    digest = hashlib.sha256()
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as target:
            for chunk in member.chunks():
                digest.update(chunk)
                target.write(chunk)
    except BROKEN:
        path.unlink(missing_ok=True)
        return False
    is_right = digest.hexdigest() == path.stem
    if not is_right:
        path.unlink()
    return is_right
