"""HEIF pictures whose items are no texts end the process in the library that reads them; they are refused before.

The boxes are those of ISO/IEC 14496-12 (8.11.6, item information); that the library fails at them was found by
`tests.faults mutated`, and shows in a process of its own without our opener.
"""

import subprocess
import sys
from pathlib import Path

import pytest

from intake.edges.heif_opener import item_texts
from intake.edges.pictures import load
from intake.errors import FileError
from tests.faults.mutations import pictures

HEIC = next(data for suffix, data in pictures() if suffix == "heic" and b"Exif" in data)
ITEM = HEIC.index(b"infe", HEIC.index(b"infe") + 4) - 4
"""Where the box of the second item begins: its size, `infe`, version and flags, two numbers, `Exif`, an empty name."""
SIZE = int.from_bytes(HEIC[ITEM : ITEM + 4], "big")


def with_item(box: bytes) -> bytes:
    """Return the picture with another box of the second item, and the sizes of those around it."""
    data = bytearray(HEIC[:ITEM] + len(box).to_bytes(4, "big") + box[4:] + HEIC[ITEM + SIZE :])
    for name in (b"iinf", b"meta"):
        at = data.index(name) - 4
        size = int.from_bytes(data[at : at + 4], "big") + len(box) - SIZE
        data[at : at + 4] = size.to_bytes(4, "big")
    return bytes(data)


BOX = HEIC[ITEM : ITEM + SIZE]
NO_TEXTS = {
    "type": with_item(BOX.replace(b"Exif", b"\xffxif")),
    "content": with_item(BOX[:-1].replace(b"Exif", b"mime") + b"\0\xff\xfe\0"),
}


@pytest.mark.parametrize("data", NO_TEXTS.values(), ids=NO_TEXTS)
def test_an_item_that_is_no_text_is_refused(data: bytes, tmp_path: Path) -> None:
    file = tmp_path / "odd.heic"
    file.write_bytes(data)
    with pytest.raises(FileError, match="damaged or cut short"):
        load(file)


def test_the_library_alone_ends_the_process(tmp_path: Path) -> None:
    file = tmp_path / "odd.heic"
    file.write_bytes(NO_TEXTS["type"])
    alone = [sys.executable, "-c", f"import pi_heif; pi_heif.open_heif({str(file)!r})"]
    ended = subprocess.run(alone, check=False, capture_output=True).returncode
    assert ended != 0  # where it is 0, the library has been mended, and the opener may go


def test_texts_of_any_script_are_texts(tmp_path: Path) -> None:
    named = with_item(BOX[:-1] + "Fähre 霧".encode() + b"\0")
    assert [texts.decode() for texts in item_texts(named)] == ["hvc1\0", "ExifFähre 霧\0"]
    file = tmp_path / "whole.heic"
    file.write_bytes(HEIC)
    assert load(file).grey.size > 0
