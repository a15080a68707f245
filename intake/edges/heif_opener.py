"""HEIF pictures are looked through before the library that reads them sees them: some end the process in it.

What an item of the file is, its name and its type of content are texts (ISO/IEC 14496-12, 8.11.6: `infe`, UTF-8). The
library makes Python's strings of them and does not look whether that went well (found with mutated files, pi-heif
1.4.0). So a file in which one of them is no text is refused as damaged.
"""

import re
from collections.abc import Iterator
from typing import IO

import pi_heif  # type: ignore[import-untyped]  # the library ships no types
from PIL import Image, ImageFile

ITEM = re.compile(rb"infe(?:[\x00-\x02].{3}.{2}.{2}|\x03.{3}.{4}.{2})", re.DOTALL)
"""The head of an item's box, by its version: flags, number of the item and of its protection; then come the texts."""
SIZE_BYTES = 4


def register() -> None:
    """Let Pillow open HEIF pictures, but for those that would end the process."""
    pi_heif.register_heif_opener()
    _, accept = Image.OPEN["HEIF"]

    def open_looked_through(file: IO[bytes], name: str | bytes) -> ImageFile.ImageFile:
        start = file.tell()
        data = file.read()
        file.seek(start)
        for texts in item_texts(data):
            texts.decode("utf-8")
        opened: ImageFile.ImageFile = pi_heif.HeifImageFile(file, name)
        return opened

    Image.register_open("HEIF", open_looked_through, accept)


def item_texts(data: bytes) -> Iterator[bytes]:
    """Yield what should be texts of the items that a file lists: the type, the name, the type of content."""
    for found in ITEM.finditer(data):
        start = found.start() - SIZE_BYTES
        size = int.from_bytes(data[max(start, 0) : found.start()], "big")
        if found.end() - start <= size <= len(data) - start:  # else pixels in which the name stands by chance
            yield data[found.end() : start + size]
