"""Reading an archive, which comes from outside: believed only as far as manifest, limits and digests allow."""

import errno
import hashlib
import zipfile
import zlib
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from intake.edges.atomic_write import remedy_of
from intake.edges.server_address import LibraryPlace
from intake.edges.store.archive import MANIFEST, REMEDY, Manifest, Member, table_path
from intake.edges.store.archive_members import Members, opened_members
from intake.edges.store.archive_writing import PICTURE_PATH
from intake.edges.store.migrate import newest_revision
from intake.errors import FileError, StoreError

LARGEST_MANIFEST = 500_000_000
LONGEST_LINE = 200_000_000

BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError)
"""What reading a damaged, encrypted or foreign archive raises."""


@dataclass(frozen=True, slots=True)
class OpenArchive:
    """An open archive whose names and sizes were checked."""

    file: Path
    members: Members
    manifest: Manifest

    @property
    def unnamed(self) -> tuple[str, ...]:
        """Return the names of what the manifest does not name, and is left out."""
        below = sorted(self.members.by_name.keys() - {MANIFEST} - self.manifest.files.keys())
        return (*below, *self.members.outside)

    def chunks(self, name: str) -> Iterator[bytes]:
        """Yield the content of a member, and refuse it where it is not the manifest's."""
        member, digest, size = self.manifest.files[name], hashlib.sha256(), 0
        try:
            for chunk in self.members.by_name[name].chunks():
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
        with opened_members(file) as members:
            yield OpenArchive(file, members, _checked_manifest(file, members))
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


def _checked_manifest(file: Path, members: Members) -> Manifest:
    """Return the manifest, if the archive has all that it names, of the sizes that it names."""
    found = members.by_name
    if MANIFEST not in found:
        cut = "is cut short: its end is lost, and with it the manifest, without which nothing in it can be proved"
        raise FileError(str(file), cut if members.is_cut else "has no manifest, in it or one folder down", REMEDY)
    if found[MANIFEST].size > LARGEST_MANIFEST or found[MANIFEST].is_bomb:
        raise FileError(str(file), "has no manifest that can be read", REMEDY)
    manifest = Manifest.read(found[MANIFEST].data, str(file))
    expected = {table_path(name) for name in manifest.tables} | {name for name in manifest.files if is_picture(name)}
    if expected != set(manifest.files):
        raise FileError(str(file), "has a manifest that contradicts itself", REMEDY)
    if missing := expected - found.keys():
        raise FileError(str(file), f"is not whole: it lacks {_first_of(missing)}, which its manifest names", REMEDY)
    if twice := members.twice & {MANIFEST, *expected}:
        raise FileError(str(file), f"was altered: it has {_first_of(twice)} twice", REMEDY)
    for name, member in manifest.files.items():
        if found[name].size != member.size or found[name].is_bomb:
            raise FileError(str(file), f"has a member of another size than its manifest says ({name})", REMEDY)
    if manifest.revision not in _known_revisions():
        why = f"was written by a newer version of this program (its revision is {manifest.revision[:40]})"
        raise FileError(str(file), why, "update the program; nothing was made")
    return manifest


def is_picture(name: str) -> bool:
    """Return whether a member is a picture."""
    return PICTURE_PATH.fullmatch(name) is not None


def _first_of(names: AbstractSet[str]) -> str:
    """Name one member, and count the others."""
    first = ascii(min(names))[1:-1]
    return first if len(names) == 1 else f"{len(names)} members ({first} is the first)"


def _known_revisions() -> set[str]:
    return {f"{number:04}" for number in range(1, int(newest_revision()) + 1)}
