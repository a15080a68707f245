"""A folder of files as one ZIP archive, and unpacked again: whole or not at all.

The same files give the same bytes: names are in order, and the archive holds no time of its own.
"""

import io
import secrets
import shutil
import zipfile
from collections.abc import Mapping
from pathlib import Path

from intake.edges.atomic_write import make_folder
from intake.errors import FileError

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
    part = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}.part")
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            why = "is there already, and is not an empty folder"
            raise FileError(str(folder), why, "give the name of a new folder, or of a file that ends in .zip")
        make_folder(folder.parent)
        with zipfile.ZipFile(io.BytesIO(packed)) as archive:
            archive.extractall(part)
        part.replace(folder)
    except OSError as error:
        why = f"cannot be written ({error.strerror})"
        raise FileError(str(folder), why, "choose a folder that you may write in, with space on its disk") from error
    finally:
        shutil.rmtree(part, ignore_errors=True)
