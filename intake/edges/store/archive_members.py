"""The members of an archive, wherever they lie: in a ZIP file, in one that was cut short, in a folder.

A tool that unpacks and packs again may put everything one folder down, add members for folders, and files of its own
(`__MACOSX/…`, `.DS_Store`). What an archive is made of is told by its manifest alone; what that does not name counts
for nothing, and is named.
"""

import os
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import BinaryIO

from intake.edges.store.archive import MANIFEST
from intake.errors import FileError

CHUNK = 1 << 20
LARGEST_RATIO = 500
"""Most bytes that one stored byte may become; rows of a ledger become about 20."""
_LOCAL = b"PK\x03\x04"
_WIDE = 0xFFFFFFFF
_STORED, _DEFLATED = zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED


@dataclass(frozen=True, slots=True)
class PackedMember:
    """A member as it lies there: its size, how many bytes it takes, and what yields its content."""

    size: int
    packed: int
    chunks: Callable[[], Iterator[bytes]]

    @property
    def is_bomb(self) -> bool:
        """Tell whether it would become more than anything that a library has packed."""
        return self.size > 1_000_000 and self.size > LARGEST_RATIO * max(self.packed, 1)

    @property
    def data(self) -> bytes:
        """Read all of it."""
        return b"".join(self.chunks())


@dataclass(frozen=True, slots=True)
class Members:
    """What was found in an archive.

    Attributes:
        by_name: the members, by the names that they have below the manifest's folder; folders are none.
        outside: names of those that are not below it.
        twice: names that two members have.
        is_cut: whether the list of members was cut off, and they were found one after the other.
    """

    by_name: Mapping[str, PackedMember]
    outside: tuple[str, ...] = ()
    twice: frozenset[str] = frozenset()
    is_cut: bool = False


Found = list[tuple[str, PackedMember]]


@contextmanager
def opened_members(file: Path) -> Iterator[Members]:
    """Open the members of an archive.

    Raises:
        zipfile.BadZipFile, OSError: there is none that can be read.
        FileError: there are several manifests, and none comes first.
    """
    if file.is_dir():
        yield _below_manifest(file, list(_in_folder(file)))
        return
    with file.open("rb") as stream:
        try:
            opened = zipfile.ZipFile(stream)
        except zipfile.BadZipFile:
            if not (found := list(_one_after_another(stream))):
                raise
            yield _below_manifest(file, found, is_cut=True)
            return
        with opened:
            yield _below_manifest(file, list(_in_zip(opened)))


def is_unpacked_archive(folder: Path) -> bool:
    """Return whether a folder has what is in an archive: its manifest, in it or one folder down, and its tables."""
    if not folder.is_dir():
        return False
    try:
        below = [path for path in folder.iterdir() if path.is_dir()]
    except OSError:
        return False
    return any((path / MANIFEST).is_file() and (path / "tables").is_dir() for path in (folder, *below))


def _below_manifest(file: Path, found: Found, *, is_cut: bool = False) -> Members:
    """Name the members from the folder on in which the manifest is: the first, or the one that all are in."""
    names = [name for name, _ in found]
    manifests = [name for name in names if name.rpartition("/")[2] == MANIFEST]
    if MANIFEST not in manifests and len(set(manifests)) > 1:
        first, second, *_ = sorted(set(manifests))
        why = f"has more than one archive in it ({ascii(first)[1:-1]} and {ascii(second)[1:-1]})"
        raise FileError(str(file), why, "unpack it, and name the folder of one of them")
    above = "" if MANIFEST in manifests or not manifests else manifests[0].removesuffix(MANIFEST)
    below = [(name.removeprefix(above), member) for name, member in found if name.startswith(above)]
    twice = frozenset(name for name, count in Counter(name for name, _ in below).items() if count > 1)
    return Members(dict(below), tuple(name for name in names if not name.startswith(above)), twice, is_cut)


def _in_zip(opened: zipfile.ZipFile) -> Iterator[tuple[str, PackedMember]]:
    for info in opened.infolist():
        if not info.is_dir():
            yield (
                info.filename.replace("\\", "/"),
                PackedMember(info.file_size, info.compress_size, partial(_of_zip, opened, info)),
            )


def _of_zip(opened: zipfile.ZipFile, info: zipfile.ZipInfo) -> Iterator[bytes]:
    with opened.open(info) as content:
        while chunk := content.read(CHUNK):
            yield chunk


def _in_folder(folder: Path) -> Iterator[tuple[str, PackedMember]]:
    for above, folders, names in os.walk(folder):
        folders.sort()
        for path in (Path(above, name) for name in sorted(names)):
            if path.is_file() and not path.is_symlink():
                size = path.stat().st_size
                yield path.relative_to(folder).as_posix(), PackedMember(size, size, partial(_of_file, path))


def _of_file(path: Path) -> Iterator[bytes]:
    with path.open("rb") as content:
        while chunk := content.read(CHUNK):
            yield chunk


def _one_after_another(stream: BinaryIO) -> Iterator[tuple[str, PackedMember]]:
    """Yield the members of a ZIP file whose list of them, at its end, was cut off: each has a head of its own.

    APPNOTE.TXT of the ZIP format, 4.3.7 and 4.5.3; only of archives that have the sizes there, as this program writes
    them. What is at an end before its own is no member any more.
    """
    end, at = stream.seek(0, os.SEEK_END), 0
    while True:
        stream.seek(at)
        head = stream.read(30)
        if len(head) < 30 or head[:4] != _LOCAL:
            return
        flags, method = int.from_bytes(head[6:8], "little"), int.from_bytes(head[8:10], "little")
        packed, size = (int.from_bytes(head[place : place + 4], "little") for place in (18, 22))
        name_size, extra_size = (int.from_bytes(head[place : place + 2], "little") for place in (26, 28))
        name, extra = stream.read(name_size).decode("utf-8", "replace"), stream.read(extra_size)
        if _WIDE in (packed, size) and extra[:4] == b"\x01\x00\x10\x00":
            size, packed = (int.from_bytes(extra[place : place + 8], "little") for place in (4, 12))
        begin = at + 30 + name_size + extra_size
        at = begin + packed
        if flags & 0b1001 or method not in (_STORED, _DEFLATED) or at > end:
            return
        if not name.endswith("/"):
            place = (begin, packed, method)
            yield name, PackedMember(size, packed, partial(_of_place, stream, *place))


def _of_place(stream: BinaryIO, begin: int, packed: int, method: int) -> Iterator[bytes]:
    unpack = zlib.decompressobj(-zlib.MAX_WBITS) if method == _DEFLATED else None
    at, end = begin, begin + packed
    while at < end:
        stream.seek(at)
        chunk = stream.read(min(CHUNK, end - at))
        if not chunk:
            raise EOFError
        at += len(chunk)
        if unpack is None:
            yield chunk
            continue
        while chunk:
            yield unpack.decompress(chunk, CHUNK)
            chunk = unpack.unconsumed_tail
