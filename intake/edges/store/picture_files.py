"""The files of a library's pictures: each under its SHA-256, which only the owner may read."""

from pathlib import Path

from intake.edges.atomic_write import make_folder, save_whole
from intake.errors import StoreError
from intake.model.sightings import Picture

_SUFFIXES = {
    "image/jpeg": ".jpg",
    "image/png": ".png",
    "image/heic": ".heic",
    "image/heif": ".heif",
    "image/webp": ".webp",
    "image/tiff": ".tif",
}


def picture_folder(library: Path, sha256: str) -> Path:
    """Return the folder for a picture in the folder of a library."""
    return library / "pictures" / sha256[:2]


def save_picture(library: Path, data: bytes, picture: Picture) -> tuple[Path, bool]:
    """Save the bytes of a picture if they are not there yet; return the file, and whether it is new.

    Raises:
        StoreError: they cannot be written.
    """
    suffix = _SUFFIXES.get(picture.media_type, ".bin")
    target = picture_folder(library, picture.sha256) / f"{picture.sha256}{suffix}"
    if target.exists():
        return target, False
    try:
        make_folder(target.parent, mode=0o700)
        save_whole(target, lambda part: _write_own(part, data))
    except OSError as error:
        why = f"cannot be stored ({error.strerror})"
        raise StoreError(picture.title, why, "make room or repair the folder") from error
    return target, True


def _write_own(part: Path, data: bytes) -> None:
    part.touch(0o600)
    part.write_bytes(data)
