"""What was computed of pictures of covers, kept so that the next run need not: features, and the index over them.

A folder of its own, `.covers`, beside the pictures, or one in the user's cache folder where that place may not be
written. Everything in it can be made again from the pictures, and is, where it is missing, damaged or of another
version: it may be deleted at any time. What is kept is arrays alone (numpy's npz format, read without pickle: nothing
in it is ever run).

    .covers/1/ab/ab…cd.npz    the arrays of the picture that has this SHA-256
    .covers/1/index.npz       the arrays over all pictures
"""

import hashlib
import os
import shutil
import zipfile
import zlib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from numpy.lib.npyio import NpzFile
from platformdirs import user_cache_path

from intake.edges.atomic_write import save_whole

Members = Mapping[str, npt.NDArray[Any]]

FOLDER = ".covers"
INDEX = "index"
ABSENT = (OSError, ValueError, EOFError, zipfile.BadZipFile, zlib.error, NotImplementedError)


class CoverCache:
    """Where the arrays made of the pictures in one folder are kept.

    Args:
        beside: the folder of the pictures, or the library's.
        version: of the form of the arrays; those of others are removed.
    """

    def __init__(self, beside: Path, version: int) -> None:
        writable = os.access(beside, os.W_OK)
        name = hashlib.sha256(str(beside.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:32]
        self._root = beside / FOLDER if writable else user_cache_path("intake") / "covers" / name
        self.folder = self._root / str(version)

    def load(self, name: str) -> Members | None:
        """Return what is kept under a name, a SHA-256 or `INDEX`; None where nothing is, or it is damaged."""
        try:
            with self._path(name).open("rb") as file:
                archive = np.load(file, allow_pickle=False)
                if not isinstance(archive, NpzFile):
                    return None
                return {member: archive[member] for member in archive.files}  # the CRC-32 of each is checked
        except ABSENT:
            return None

    def save(self, name: str, arrays: Members) -> bool:
        """Keep arrays; return whether they could be kept. What is not kept is computed again the next time."""
        members: dict[str, Any] = dict(arrays)

        def write(part: Path) -> None:
            with part.open("wb") as file:
                np.savez(file, **members)

        with suppress(OSError):
            save_whole(self._path(name), write)
            return True
        return False

    def keep_only(self, names: set[str]) -> None:
        """Remove what was made of pictures that are no longer there, and of other versions."""
        with suppress(OSError):
            for other in self._root.iterdir():
                if other != self.folder:
                    shutil.rmtree(other, ignore_errors=True)
            for path in self.folder.glob("??/*.npz"):
                if path.stem not in names:
                    path.unlink(missing_ok=True)

    def _path(self, name: str) -> Path:
        return self.folder / f"{name}.npz" if name == INDEX else self.folder / name[:2] / f"{name}.npz"
