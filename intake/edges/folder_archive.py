"""A folder of files as one ZIP archive, and unpacked again: whole or not at all.

The same files give the same bytes: names are in order, and the archive holds no time of its own.
"""

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

from intake.edges.atomic_write import new_folder

EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a ZIP archive can state (APPNOTE.TXT, 4.4.6); it stands for none."""
PACKED_ALREADY = (".jpg", ".png")


def pack(files: Mapping[str, bytes]) -> bytes:
    """Return an archive of files.

    Args:
        files: name -> content; a name may have folders, separated by "/".
    """
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name in sorted(files):
            kind = zipfile.ZIP_STORED if name.endswith(PACKED_ALREADY) else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(name, EARLIEST), files[name], kind)
    return packed.getvalue()


def unpack(packed: bytes, folder: Path) -> None:
    """Write the files of an archive of our own into a new folder.

    Args:
        packed: made by `pack`.
        folder: is not there yet, or is empty.

    Raises:
        FileError: the folder is there and is not empty, or cannot be written; nothing is left behind.
    """
    otherwise = "give the name of a new folder, or of a file that ends in .zip"
    archive = zipfile.ZipFile(io.BytesIO(packed))
    with archive, new_folder(folder, otherwise=otherwise, parents=True) as part:
        archive.extractall(part)
