"""What was made ready from a large file of a person's, kept so that the next run need not make it again.

Beside the file, under a hidden name, or in the user's cache folder where that folder may not be written. The name holds
the SHA-256 of the file's content, so that a changed file never meets what was made of the old one. What is kept is
arrays alone (numpy's npz format, read without pickle: nothing in it is ever run); a damaged or foreign file counts as
none.
"""

import hashlib
import os
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

Arrays = Mapping[str, npt.NDArray[Any]]

SMALLEST_BYTES = 1 << 20
"""Smaller files are read as quickly as what would be kept of them."""
DIGEST = "source_sha256"


class PreparedFile:
    """Where the arrays made of one content of a file are kept.

    Args:
        source: the file.
        version: of the form of the arrays; others are left alone.
    """

    def __init__(self, source: Path, version: int) -> None:
        with source.open("rb") as file:
            self._digest = hashlib.file_digest(file, "sha256").hexdigest()
        self._ending = f".prepared-{version}.npz"
        self._stem = f".{source.name}."
        self._beside = source.with_name(f"{self._stem}{self._digest}{self._ending}")
        self._cached = user_cache_path("intake") / f"{self._digest}{self._ending}"

    def load(self) -> Arrays | None:
        """Return the arrays, None where there are none or they are damaged."""
        return next((found for path in (self._beside, self._cached) if (found := self._read(path)) is not None), None)

    def _read(self, path: Path) -> Arrays | None:
        try:
            with path.open("rb") as file:
                archive = np.load(file, allow_pickle=False)
                if not isinstance(archive, NpzFile):
                    return None
                arrays = {name: archive[name] for name in archive.files}  # the CRC-32 of each is checked
        except (OSError, ValueError, EOFError, zipfile.BadZipFile, zlib.error, NotImplementedError):
            return None
        digest = arrays.pop(DIGEST, None)
        return arrays if digest is not None and digest.tobytes().hex() == self._digest else None

    def save(self, arrays: Arrays) -> None:
        """Keep the arrays, and remove what was made of earlier contents; where nothing can be written, keep nothing."""
        members: dict[str, Any] = {**arrays, DIGEST: np.frombuffer(bytes.fromhex(self._digest), np.uint8)}

        def write(part: Path) -> None:
            with part.open("wb") as file:
                np.savez(file, **members)

        beside = os.access(self._beside.parent, os.W_OK)
        with suppress(OSError):
            save_whole(self._beside if beside else self._cached, write)
        for old in self._beside.parent.glob(f"{self._stem.replace('[', '[[]')}*{self._ending}"):
            if old != self._beside:
                with suppress(OSError):
                    old.unlink()
