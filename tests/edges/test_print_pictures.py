"""Photographs for print: upright, no larger than asked, and a reason for each that cannot be had."""

import hashlib
import io
from pathlib import Path

import pytest
from PIL import Image

from intake.edges import print_pictures


def kept(folder: Path, image: Image.Image, kind: str = "JPEG", **more: object) -> tuple[str, Path]:
    out = io.BytesIO()
    image.save(out, kind, **more)
    sha256 = hashlib.sha256(out.getvalue()).hexdigest()
    path = folder / sha256
    path.write_bytes(out.getvalue())
    return sha256, path


def test_scaled_turned_and_in_order(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF 2.32: to be turned clockwise by a right angle
    turned = kept(tmp_path, Image.new("RGB", (900, 600), "red"), exif=exif, comment=b"whose it is")
    clear = kept(tmp_path, Image.new("RGBA", (50, 40), (0, 0, 0, 0)), "PNG")
    found = list(print_pictures.scale(dict([turned, clear]), width_mm=25.4, height_mm=25.4))
    assert [one.sha256 for one in found] == [turned[0], clear[0]]
    assert [(one.width_px, one.height_px) for one in found] == [(100, 150), (50, 40)]
    for one in found:
        assert one.data is not None
        with Image.open(io.BytesIO(one.data)) as image:
            assert (image.format, image.size) == ("JPEG", (one.width_px, one.height_px))
            assert "comment" not in image.info
    assert found[1].data is not None
    with Image.open(io.BytesIO(found[1].data)) as paper:
        assert paper.convert("L").getpixel((5, 5)) == 255


def test_what_cannot_be_had_says_why(tmp_path: Path) -> None:
    sha256, path = kept(tmp_path, Image.new("RGB", (9, 9)))
    path.write_bytes(path.read_bytes()[:-1] + b"x")
    text = tmp_path / "text"
    text.write_bytes(b"no picture")
    jobs = {"0" * 64: None, sha256: path, hashlib.sha256(b"no picture").hexdigest(): text, "1" * 64: tmp_path / "gone"}
    found = list(print_pictures.scale(jobs, width_mm=10, height_mm=10))
    assert [one.data for one in found] == [None] * 4
    assert all(one.why for one in found)
    assert len({one.why for one in found}) == 3
    assert print_pictures.find_altered(jobs.items()) == {"0" * 64: "missing", sha256: "altered", "1" * 64: "missing"}


@pytest.mark.parametrize("mode", ["1", "L", "P", "CMYK", "I;16"])
def test_every_kind_of_picture(tmp_path: Path, mode: str) -> None:
    image = Image.new(mode, (30, 20))
    (found,) = print_pictures.scale(dict([kept(tmp_path, image, "TIFF")]), width_mm=10, height_mm=10)
    assert found.data is not None, found.why
