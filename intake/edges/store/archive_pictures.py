"""Pictures taken out of an archive: whatever else is damaged in it, the name of each proves its content."""

import hashlib
import os
import zipfile
from collections.abc import Collection
from pathlib import Path

from intake.edges.store.archive_reading import BROKEN
from intake.edges.store.archive_writing import CHUNK, PICTURE_PATH
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
        with zipfile.ZipFile(file) as opened:
            for info in opened.infolist():
                match = PICTURE_PATH.fullmatch(info.filename)
                is_wanted = match is not None and match[2] in wanted and match[2] not in taken
                if match and is_wanted and info.compress_type == zipfile.ZIP_STORED and _take(opened, info, folder):
                    taken.add(match[2])
    except FileNotFoundError as error:
        raise FileError(str(file), "does not exist", "check the name") from error
    except (*BROKEN, OSError) as error:
        raise FileError(str(file), f"cannot be read as an archive ({error})", "name another archive") from error
    return taken


def pictures_in(file: Path) -> set[str]:
    """Return the SHA-256 of the pictures that an archive has by its table of contents; of none, nothing."""
    try:
        with zipfile.ZipFile(file) as opened:
            return {match[2] for match in map(PICTURE_PATH.fullmatch, opened.namelist()) if match}
    except (*BROKEN, OSError):
        return set()


def _take(opened: zipfile.ZipFile, info: zipfile.ZipInfo, folder: Path) -> bool:
    """Write one picture, and remove it again where it is not what its name says."""
    path = folder / info.filename
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    digest = hashlib.sha256()
    try:
        with (
            opened.open(info) as content,
            os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as target,
        ):
            while chunk := content.read(CHUNK):
                digest.update(chunk)
                target.write(chunk)
    except BROKEN:
        path.unlink(missing_ok=True)
        return False
    is_right = digest.hexdigest() == path.stem
    if not is_right:
        path.unlink()
    return is_right
