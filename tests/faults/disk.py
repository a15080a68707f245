"""A disk whose power is cut: what was synced is on it, and of the rest whatever chance has left.

A strict model of POSIX: a file's content is safe after fsync or fdatasync of the file, its name after fsync of the
folder that it is in, and nothing before. Names of one disk are written in their order (as a journal of metadata does);
contents in any order, in sectors of 512 bytes. Real file systems promise more.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from tests.faults.recording import Call

SECTOR = 512


@dataclass(frozen=True, slots=True)
class Alteration:
    """Of the content of one file: bytes at a place, or a new length where `data` is None."""

    file: int
    offset: int
    data: bytes | None


@dataclass(frozen=True, slots=True)
class Naming:
    """Of a folder: a name for a file, or for nothing (None); `also` is the other half of a renaming."""

    name: str
    file: int | None
    also: str = ""


Image = dict[str, bytes]
"""Contents by name, relative to the folder; a folder is a name that ends in a slash."""


@dataclass
class Disk:
    """The files of one folder: what is safe, what is not yet, and what a process would see.

    Attributes:
        contents: of each file, by number, as far as it is safe.
        names: numbers of files by name, as far as they are safe; a folder has the number 0.
        unsafe: alterations of contents that were not synced, in order.
        unnamed: the same of names.
        seen: the names as the process sees them.
        sizes: the length of each file as the process sees it.
    """

    folder: Path
    contents: dict[int, bytearray] = field(default_factory=dict)
    names: dict[str, int] = field(default_factory=dict)
    unsafe: list[Alteration] = field(default_factory=list)
    unnamed: list[Naming] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    sizes: dict[int, int] = field(default_factory=dict)

    @classmethod
    def of(cls, folder: Path) -> "Disk":
        """Return the disk with what a folder holds, all of it safe."""
        disk = cls(folder)
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            if path.is_dir():
                disk.names[f"{name}/"] = 0
            else:
                number = len(disk.contents) + 1
                disk.contents[number] = bytearray(path.read_bytes())
                disk.names[name] = number
                disk.sizes[number] = len(disk.contents[number])
        disk.seen = dict(disk.names)
        return disk

    def _inside(self, path: str) -> str | None:
        """Return a path relative to the folder, "" for the folder itself, None for one outside or of shared memory."""
        try:
            name = PurePosixPath(path).relative_to(self.folder.as_posix()).as_posix()
        except ValueError:
            return None
        return None if name.endswith("-shm") else "" if name == "." else name

    def apply(self, call: Call) -> bool:
        """Take in one call; return whether the disk is another, or safer, than before."""
        name = self._inside(call.path)
        if name is None:
            return False
        match call.name:
            case "openat":
                return self._open(name, call)
            case "pwrite64" | "write" | "ftruncate":
                return self._alter(name, call)
            case "fsync" | "fdatasync":
                self._sync(name)
            case "unlink":
                self._name(Naming(name, None))
            case "rename":
                to = self._inside(call.to)
                assert to is not None, "renamed out of the folder"
                self._name(Naming(to, self.seen[name], also=name))
            case "mkdir":
                self._name(Naming(f"{name}/", 0))
            case _:
                self._name(Naming(f"{name}/", None))
        return True

    def _open(self, name: str, call: Call) -> bool:
        if call.makes and name not in self.seen:
            number = max(self.contents, default=0) + 1
            self.contents[number] = bytearray()
            self.sizes[number] = 0
            self._name(Naming(name, number))
            return True
        if call.cuts and self.sizes.get(self.seen.get(name, 0), 0):
            self.unsafe.append(Alteration(self.seen[name], 0, None))
            self.sizes[self.seen[name]] = 0
            return True
        return False

    def _alter(self, name: str, call: Call) -> bool:
        number = self.seen.get(name)
        if number is None:  # it has been removed, and nobody will find what is written to it
            return False
        if call.name == "ftruncate":
            self.unsafe.append(Alteration(number, call.size, None))
            self.sizes[number] = call.size
            return True
        offset = self.sizes[number] if call.offset is None else call.offset
        self.unsafe.append(Alteration(number, offset, call.data))
        self.sizes[number] = max(self.sizes[number], offset + len(call.data))
        return True

    def _name(self, naming: Naming) -> None:
        self.unnamed.append(naming)
        _rename(self.seen, naming)

    def _sync(self, name: str) -> None:
        if name == "" or f"{name}/" in self.seen:
            inside = [naming for naming in self.unnamed if _parent(naming.name) == name]
            for naming in inside:
                _rename(self.names, naming)
            self.unnamed = [naming for naming in self.unnamed if naming not in inside]
        elif (number := self.seen.get(name)) is not None:
            for alteration in [each for each in self.unsafe if each.file == number]:
                _alter(self.contents[number], alteration)
            self.unsafe = [each for each in self.unsafe if each.file != number]

    def cuts(self, chance: random.Random) -> Iterator[Image]:
        """Yield what may be on the disk when the power fails now, each different from the others.

        Everything that was not synced is dropped; all of it is there; the last write is torn; half of it is there.
        """
        yield self._image([], [])
        if not self.unsafe and not self.unnamed:
            return
        yield self._image(self.unsafe, self.unnamed)
        if self.unsafe and (last := self.unsafe[-1]).data is not None and len(last.data) > SECTOR:
            part = last.data[: SECTOR * chance.randrange(1, -(-len(last.data) // SECTOR))]
            yield self._image([*self.unsafe[:-1], Alteration(last.file, last.offset, part)], self.unnamed)
        some = [each for each in self.unsafe if chance.random() < 0.5]
        if len(self.unsafe) > 1 and some not in ([], self.unsafe):
            yield self._image(some, self.unnamed[: chance.randrange(len(self.unnamed) + 1)])

    def _image(self, alterations: list[Alteration], namings: list[Naming]) -> Image:
        names = dict(self.names)
        for naming in namings:
            _rename(names, naming)
        altered = {each.file for each in alterations}
        contents = {number: bytearray(self.contents[number]) for number in altered}
        for alteration in alterations:
            _alter(contents[alteration.file], alteration)
        image: Image = {}
        for name, number in names.items():
            parents = PurePosixPath(name.rstrip("/")).parents
            if all(f"{parent}/" in names for parent in parents if parent.as_posix() != "."):
                image[name] = bytes(contents.get(number, self.contents.get(number, bytearray()))) if number else b""
        return image


def _parent(name: str) -> str:
    parent = PurePosixPath(name.rstrip("/")).parent.as_posix()
    return "" if parent == "." else parent


def _rename(names: dict[str, int], naming: Naming) -> None:
    if naming.also:
        names.pop(naming.also, None)
    if naming.file is None:
        names.pop(naming.name, None)
    else:
        names[naming.name] = naming.file


def _alter(content: bytearray, alteration: Alteration) -> None:
    if alteration.data is None:
        if alteration.offset <= len(content):
            del content[alteration.offset :]
        else:
            content.extend(bytes(alteration.offset - len(content)))
        return
    end = alteration.offset + len(alteration.data)
    if end > len(content):
        content.extend(bytes(end - len(content)))
    content[alteration.offset : end] = alteration.data
