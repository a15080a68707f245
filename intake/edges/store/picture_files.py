"""Pictures as files in a folder: `pictures/ab/abcdef….jpg`, each under its SHA-256."""

import re
from collections.abc import Callable, Collection, Iterator
from pathlib import Path

from intake.edges.atomic_write import make_folder, save_own
from intake.edges.store.picture_check import PictureCount, check_files, check_pictures, refuse_unreadable
from intake.edges.store.reader import LibraryReader
from intake.errors import StoreError
from intake.model.findings import LibraryFinding
from intake.model.sightings import Picture

SUFFIXES = {
    "image/jpeg": ".jpg",
    "image/png": ".png",
    "image/heic": ".heic",
    "image/heif": ".heif",
    "image/webp": ".webp",
    "image/tiff": ".tif",
}
CHUNK = 1 << 20


class PictureFiles:
    """The pictures in the folder of a library, or in one that several desks share.

    Args:
        folder: in which the folder `pictures` is.
        refuse_gone: refuses to write where the library is not there any more: its folder would be made anew.
    """

    def __init__(self, folder: Path, refuse_gone: Callable[[], None] = lambda: None) -> None:
        self.folder = folder
        self._refuse_gone = refuse_gone

    def keep(self, picture: Picture, data: bytes) -> bool:
        """Save the bytes of a picture, if they are not there yet; return whether they were not."""
        self._refuse_gone()
        target = self._file(picture)
        if target.exists():
            return False
        try:
            make_folder(target.parent, mode=0o700)
            save_own(target, data)
        except OSError as error:
            why = f"cannot be stored ({error.strerror})"
            raise StoreError(picture.title, why, "make room or repair the folder") from error
        return True

    def drop(self, picture: Picture) -> None:
        """Remove a picture, if it is there."""
        self._file(picture).unlink(missing_ok=True)

    def path(self, sha256: str) -> Path | None:
        """Return where a picture is kept, None if it is not."""
        if not re.fullmatch("[0-9a-f]{64}", sha256):
            return None
        return next(iter((self.folder / "pictures" / sha256[:2]).glob(f"{sha256}.*")), None)

    def names(self) -> list[str]:
        """Return the names that all files have in an archive, those that are no pictures too."""
        files = (path for path in (self.folder / "pictures").rglob("*") if path.is_file() and not path.is_symlink())
        return [path.relative_to(self.folder).as_posix() for path in sorted(files)]

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of what has a name."""
        with (self.folder / name).open("rb") as file:
            while chunk := file.read(CHUNK):
                yield chunk

    def refuse_unreadable(self) -> None:
        """Refuse a folder of which this user may not read something; see `picture_check.refuse_unreadable`."""
        refuse_unreadable(self.folder)

    def check(self, reader: LibraryReader, count: PictureCount) -> Iterator[LibraryFinding]:
        """Yield pictures that are missing, unreadable or altered, and files that no record names."""
        return check_pictures(self.folder, reader, count)

    def check_named(
        self, names: Collection[str], count: PictureCount, *, beside: Collection[str] = ()
    ) -> Iterator[LibraryFinding]:
        """Yield the same of pictures whose SHA-256 are known; `beside` are those that may be there too."""
        return check_files(self.folder, sorted(names), count, beside=beside)

    def _file(self, picture: Picture) -> Path:
        return picture_path(self.folder, picture)


def picture_path(folder: Path, picture: Picture) -> Path:
    """Return the file of a picture in the folder of a library."""
    suffix = SUFFIXES.get(picture.media_type, ".bin")
    return folder / "pictures" / picture.sha256[:2] / f"{picture.sha256}{suffix}"
