"""The pictures of a damaged library, found by what they are: a file that lost its name is that picture still."""

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import file_digest
from pathlib import Path

from intake.edges.store.archive_writing import PICTURE_PATH
from intake.edges.store.picture_files import PictureFiles, picture_path
from intake.model.sightings import Picture


@dataclass(frozen=True, slots=True)
class RescuedPictures:
    """What became of the files among the pictures.

    Attributes:
        copied: SHA-256 of the pictures that were copied.
        left_out: names of files that are neither what their names say nor what a record names.
        renamed: names of files that were found by their content, and have their own name in the copy.
        doubled: names of second files of a picture.
    """

    copied: frozenset[str]
    left_out: tuple[str, ...]
    renamed: tuple[str, ...]
    doubled: tuple[str, ...]


def copy_pictures(damaged: Path, part: Path, recorded: Mapping[str, Picture]) -> RescuedPictures:
    """Copy the pictures of a library into the folder of another, each under the name of its content.

    A picture that no record names is copied too, if it has its name: the record may have been lost.

    Args:
        damaged: the folder of the library.
        part: of the other; it has no pictures.
        recorded: the pictures that records name, by their SHA-256.
    """
    copied: set[str] = set()
    left_out, renamed, doubled = [], [], []
    names = PictureFiles(damaged).names()
    for name in sorted(names, key=lambda name: (PICTURE_PATH.fullmatch(name) is None, name)):  # own names first
        with (damaged / name).open("rb") as file:
            sha256 = file_digest(file, "sha256").hexdigest()
        match = PICTURE_PATH.fullmatch(name)
        is_named = match is not None and match[2] == sha256
        if sha256 in copied:
            doubled.append(name)
            continue
        if not is_named and sha256 not in recorded:
            left_out.append(name)
            continue
        if not is_named:
            renamed.append(name)
        target = part / name if is_named else picture_path(part, recorded[sha256])
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        shutil.copyfile(damaged / name, target)
        target.chmod(0o600)
        copied.add(sha256)
    return RescuedPictures(frozenset(copied), tuple(left_out), tuple(renamed), tuple(doubled))
