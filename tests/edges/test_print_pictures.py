"""Photographs for print: upright, no larger than asked, and a reason for each that cannot be had."""

import hashlib
import io
import os
from pathlib import Path

import pytest
from PIL import Image

from intake.edges import colour_pictures, print_pictures
from intake.edges.print_pictures import Scaled
from intake.edges.scaled_cache import FOLDER, ScaledCache


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


def in_library(folder: Path, count: int) -> dict[str, Path | None]:
    """Return photographs that lie in a library as its own do."""
    found: dict[str, Path | None] = {}
    for shade in range(count):
        out = io.BytesIO()
        Image.new("L", (400, 300), shade).save(out, "PNG")
        sha256 = hashlib.sha256(out.getvalue()).hexdigest()
        path = folder / "pictures" / sha256[:2] / f"{sha256}.png"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(out.getvalue())
        found[sha256] = path
    return found


def test_a_photograph_is_scaled_once_while_what_is_kept_of_it_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scaled: list[object] = []
    shrunk = colour_pictures.shrunk

    def counting(image: Image.Image, size: tuple[int, int]) -> Image.Image:
        scaled.append(size)
        return shrunk(image, size)

    def printed(paths: dict[str, Path | None], width_mm: float = 10) -> list[Scaled]:
        return list(print_pictures.scale(paths, width_mm=width_mm, height_mm=10, library=tmp_path))

    monkeypatch.setattr(print_pictures, "shrunk", counting)
    jobs = in_library(tmp_path, 3)
    first = printed(jobs)
    assert printed(jobs) == first
    assert len(scaled) == 3
    printed(jobs, width_mm=5)
    assert len(scaled) == 6, "another size is another picture"
    for damaged in (tmp_path / FOLDER).glob("??/*"):
        damaged.write_bytes(damaged.read_bytes()[:-1] + b"?")
    assert printed(jobs) == first
    assert len(scaled) == 9
    # What is kept hides nothing: a photograph that was altered is still told.
    (one, path), (two, gone), _ = jobs.items()
    assert path is not None
    assert gone is not None
    path.write_bytes(b"other")
    assert [ready.why != "" for ready in printed(jobs)] == [True, False, False]
    gone.unlink()
    printed({one: path})
    assert not [kept for kept in (tmp_path / FOLDER).glob("??/*") if kept.name.startswith(two)]
    # What lies elsewhere was read from a server, and is not to stay.
    outside = in_library(tmp_path.parent / f"{tmp_path.name}-server", 1)
    (sha256,) = outside
    (tmp_path / FOLDER / sha256[:2]).mkdir(exist_ok=True)
    before = sorted((tmp_path / FOLDER).glob("??/*"))
    printed(outside)
    assert sorted((tmp_path / FOLDER).glob("??/*")) == before


def test_of_scaled_photographs_no_more_is_kept_than_has_room(tmp_path: Path) -> None:
    jobs = in_library(tmp_path, 3)
    cache = ScaledCache(tmp_path, "1x1", most_bytes=2 * (32 + 100))
    for nth, (sha256, path) in enumerate(jobs.items()):
        assert path is not None
        cache.save(path, sha256, bytes(100))
        os.utime(tmp_path / FOLDER / sha256[:2] / f"{sha256}-1x1.jpg", (nth, nth))
    cache.trim()
    assert [cache.load(path, sha256) for sha256, path in jobs.items() if path] == [None, bytes(100), bytes(100)]
