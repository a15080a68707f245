"""Reading an archive, which comes from outside: believed only as far as manifest, limits and digests allow."""

import errno
import hashlib
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from intake.edges.atomic_write import remedy_of
from intake.edges.server_address import LibraryPlace
from intake.edges.store.archive import MANIFEST, REMEDY, Manifest, Member, table_path
from intake.edges.store.archive_writing import CHUNK, PICTURE_PATH
from intake.edges.store.migrate import newest_revision
from intake.errors import FileError, StoreError

LARGEST_MANIFEST = 500_000_000
LARGEST_RATIO = 500
"""Most bytes that one stored byte may become; rows of a ledger become about 20."""
LONGEST_LINE = 200_000_000

BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
"""What reading a damaged, encrypted or foreign archive raises."""


@dataclass(frozen=True, slots=True)
class OpenArchive:
    """An open archive whose names and sizes were checked."""

    file: Path
    zip: zipfile.ZipFile
    manifest: Manifest

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of a member, and refuse it where it is not the manifest's."""
        member, digest, size = self.manifest.files[name], hashlib.sha256(), 0
        try:
            with self.zip.open(name) as content:
                while chunk := content.read(CHUNK):
                    size += len(chunk)
                    if size > member.size:
                        break
                    digest.update(chunk)
                    yield chunk
        except BROKEN as error:
            raise FileError(str(self.file), f"is damaged: {name} in it cannot be read whole", REMEDY) from error
        if Member(digest.hexdigest(), size) != member:
            raise FileError(str(self.file), f"is damaged: {name} in it is not what its manifest says", REMEDY)

    def lines(self, name: str) -> Iterator[bytes]:
        """Yield the lines of a member."""
        rest = b""
        for chunk in self.chunks(name):
            *whole, rest = (rest + chunk).split(b"\n")
            if len(rest) > LONGEST_LINE:
                raise FileError(str(self.file), f"has a line in {name} that no library has", REMEDY)
            yield from whole
        if rest:
            yield rest


@contextmanager
def opened_archive(file: Path, place: LibraryPlace) -> Iterator[OpenArchive]:
    """Open an archive whose names and sizes are sound; what is damaged in it, or in the place, is told as such.

    Raises:
        FileError: the archive cannot be read, is damaged, or is none.
        StoreError: the place cannot be written.
    """
    try:
        with zipfile.ZipFile(file) as opened:
            yield OpenArchive(file, opened, _checked_manifest(file, opened))
    except BROKEN as error:
        raise FileError(
            str(file), "is no archive, or is cut short or damaged: its list of members cannot be read", REMEDY
        ) from error
    except FileNotFoundError as error:
        raise FileError(str(file), "does not exist", "check the name") from error
    except OSError as error:
        if isinstance(error, PermissionError) and error.filename == str(file):
            raise FileError(str(file), "may not be read by this user", "ask for the right to read it") from error
        if error.errno == errno.EINVAL:  # a table of contents that points outside of the file
            raise FileError(str(file), "is damaged or cut short", REMEDY) from error
        why = f"cannot be restored from {file} ({error.strerror or error})"
        raise StoreError(f"The library {place}", why, remedy_of(error)) from error


def _checked_manifest(file: Path, opened: zipfile.ZipFile) -> Manifest:
    """Return the manifest, if the archive has just its members."""
    infos = {info.filename: info for info in opened.infolist()}
    if MANIFEST not in infos or infos[MANIFEST].file_size > LARGEST_MANIFEST or _is_bomb(infos[MANIFEST]):
        raise FileError(str(file), "has no manifest that can be read", REMEDY)
    manifest = Manifest.read(opened.read(MANIFEST), str(file))
    expected = {table_path(name) for name in manifest.tables} | {name for name in manifest.files if is_picture(name)}
    if expected != set(manifest.files):
        raise FileError(str(file), "has a manifest that contradicts itself", REMEDY)
    if missing := expected - infos.keys():
        raise FileError(str(file), f"is not whole: it lacks {_first_of(missing)}, which its manifest names", REMEDY)
    if foreign := infos.keys() - {MANIFEST} - expected:
        raise FileError(
            str(file), f"was altered: it has {_first_of(foreign)}, which its manifest does not name", REMEDY
        )
    if len(infos) != len(opened.infolist()):
        raise FileError(str(file), "was altered: it has two members of one name", REMEDY)
    for name, member in manifest.files.items():
        if infos[name].file_size != member.size or _is_bomb(infos[name]):
            raise FileError(str(file), f"has a member of another size than its manifest says ({name})", REMEDY)
    if manifest.revision not in _known_revisions():
        why = f"was written by a newer version of this program (its revision is {manifest.revision[:40]})"
        raise FileError(str(file), why, "update the program; nothing was made")
    return manifest


def is_picture(name: str) -> bool:
    """Return whether a member is a picture."""
    return PICTURE_PATH.fullmatch(name) is not None


def _first_of(names: set[str]) -> str:
    """Name one member, and count the others."""
    first = ascii(min(names))[1:-1]
    return first if len(names) == 1 else f"{len(names)} members ({first} is the first)"


def _is_bomb(info: zipfile.ZipInfo) -> bool:
    return info.file_size > 1_000_000 and info.file_size > LARGEST_RATIO * max(info.compress_size, 1)


def _known_revisions() -> set[str]:
    return {f"{number:04}" for number in range(1, int(newest_revision()) + 1)}
