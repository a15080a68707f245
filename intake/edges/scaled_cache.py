"""Photographs as they were scaled for print, kept so that the next paper need not scale them again.

A hidden folder of its own, `.scaled`, in the library's folder. Everything in it can be made again from the photographs,
and is, where it is missing or damaged: it may be deleted at any time, and backups leave it out. Only photographs that
lie in that folder themselves are kept scaled: what was read from a server is not to stay on this machine.

    .scaled/ab/ab…cd-354x272.jpg    the photograph of this SHA-256, scaled to fit so many pixels: the SHA-256 of what
                                    follows, in 32 bytes, then the picture
"""

import hashlib
import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from intake.edges.atomic_write import save_whole

FOLDER = ".scaled"
MOST_BYTES = 256 * 1024 * 1024
DIGEST_BYTES = hashlib.sha256().digest_size


class ScaledCache:
    """Where the scaled photographs of one library are kept.

    Args:
        library: its folder, in which the photographs lie.
        form: names how they were scaled; those of another form are not found.
        most_bytes: how much is kept; what was used longest ago goes first.
    """

    def __init__(self, library: Path, form: str, *, most_bytes: int = MOST_BYTES) -> None:
        self.library = library
        self.folder = library / FOLDER
        self.form = form
        self.most_bytes = most_bytes

    def load(self, path: Path, sha256: str) -> bytes | None:
        """Return a photograph as it was scaled; None where it is not kept, or what is kept is damaged."""
        try:
            kept = self._file(path, sha256)
            data = kept.read_bytes()
            digest, picture = data[:DIGEST_BYTES], data[DIGEST_BYTES:]
            if hashlib.sha256(picture).digest() != digest:
                return None
            os.utime(kept)
        except OSError:
            return None
        return picture

    def save(self, path: Path, sha256: str, picture: bytes) -> None:
        """Keep a scaled photograph; where that is not possible, it is scaled again the next time."""
        with suppress(OSError):
            data = hashlib.sha256(picture).digest() + picture
            save_whole(self._file(path, sha256), lambda part: part.write_bytes(data))

    def trim(self) -> None:
        """Remove what is of photographs that are gone, and what was used longest ago, where it is too much."""
        with suppress(OSError):
            there = {path.stem for path in (self.library / "pictures").glob("??/*")}
            used = sorted(self._used(), reverse=True)
            total = 0
            for _, size, path in used:
                total += size
                if total > self.most_bytes or path.name.partition("-")[0] not in there:
                    path.unlink(missing_ok=True)

    def _used(self) -> Iterable[tuple[float, int, Path]]:
        for path in self.folder.glob("??/*"):
            with suppress(OSError):
                about = path.stat()
                yield about.st_mtime, about.st_size, path

    def _file(self, path: Path, sha256: str) -> Path:
        """Return where a scaled photograph is kept.

        Raises:
            FileNotFoundError: nowhere, as the photograph does not lie in the library's folder.
        """
        if not path.is_relative_to(self.library / "pictures"):
            raise FileNotFoundError(path)
        return self.folder / sha256[:2] / f"{sha256}-{self.form}.jpg"
