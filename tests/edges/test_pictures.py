"""Pictures are loaded as grey, upright, 8 bits; what cannot be loaded is refused in one sentence.

The orientations are those of EXIF 2.32 (CIPA DC-008), tag 0x0112: where the 0th row and 0th column of the stored
picture stand when it is looked at.
"""

import hashlib
import io
import os
import struct
import zlib
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from intake.edges.pictures import LARGEST_PX, LONGEST_PX, SUBFILE_TYPE, SUFFIXES, Loaded, find, load, passed_over
from intake.errors import FileError
from tests.drawn_examples import examples

DATA = Path(__file__).parent / "data"
CORNER = (slice(0, 20), slice(0, 40))
"""The dark corner of the test picture, as stored: 20 rows, 40 columns at the left top."""


def stored() -> Image.Image:
    grey = np.full((60, 100), 230, np.uint8)
    grey[CORNER] = 30
    return Image.fromarray(grey)


def saved(path: Path, image: Image.Image, **options: object) -> Path:
    image.save(path, **options)  # type: ignore[arg-type]  # Pillow's options differ by format
    return path


def dark_corner(grey: npt.NDArray[np.uint8]) -> str:
    """Name the corner in which the picture is dark."""
    rows, columns = np.nonzero(grey < 128)
    upper = "top" if rows.mean() < grey.shape[0] / 2 else "bottom"
    return f"{upper} {'left' if columns.mean() < grey.shape[1] / 2 else 'right'}"


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tiff"])
def test_each_format_gives_the_same_grey(tmp_path: Path, suffix: str) -> None:
    path = saved(tmp_path / f"a.{suffix}", stored(), **({"lossless": True} if suffix == "webp" else {}))
    picture = load(path)
    assert picture.grey.dtype == np.uint8
    assert picture.grey.flags.c_contiguous
    assert np.abs(picture.grey.astype(int) - np.asarray(stored(), int)).max() <= 12
    assert (picture.width_px, picture.height_px, picture.name) == (100, 60, f"a.{suffix}")
    assert picture.media_type == {"jpg": "image/jpeg", "tiff": "image/tiff"}.get(suffix, f"image/{suffix}")
    assert picture.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


# EXIF: "the 0th row is at the visual top, the 0th column at the visual left" is 1, and so on.
UPRIGHT = {
    1: ("top left", (60, 100)),
    2: ("top right", (60, 100)),
    3: ("bottom right", (60, 100)),
    4: ("bottom left", (60, 100)),
    5: ("top left", (100, 60)),
    6: ("top right", (100, 60)),
    7: ("bottom right", (100, 60)),
    8: ("bottom left", (100, 60)),
}


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tiff"])
@pytest.mark.parametrize("orientation", UPRIGHT)
def test_every_orientation_is_turned_upright(tmp_path: Path, suffix: str, orientation: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture = load(saved(tmp_path / f"a.{suffix}", stored(), exif=exif))
    corner, shape = UPRIGHT[orientation]
    assert picture.grey.shape == shape
    assert dark_corner(picture.grey) == corner
    assert (picture.width_px, picture.height_px) == shape[::-1]


def test_an_orientation_that_means_nothing_is_none(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 77
    assert load(saved(tmp_path / "a.jpg", stored(), exif=exif)).grey.shape == (60, 100)
    path = saved(tmp_path / "b.jpg", stored(), exif=b"Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\xff")
    assert load(path).grey.shape == (60, 100)


def test_heic_is_read_and_turned_once() -> None:
    # ISO/IEC 23008-12: the item's own rotation (irot) counts; phones write the EXIF orientation beside it.
    plain, turned = load(DATA / "plain.heic"), load(DATA / "turned.heic")
    assert plain.media_type == "image/heif"
    assert (plain.grey.shape, dark_corner(plain.grey)) == ((96, 160), "top left")
    assert (turned.grey.shape, dark_corner(turned.grey)) == ((160, 96), "top right")


def test_a_transparent_picture_lies_on_white_paper(tmp_path: Path) -> None:
    clear = np.zeros((40, 60, 4), np.uint8)
    clear[:, :30, 3] = 255
    grey = load(saved(tmp_path / "a.png", Image.fromarray(clear))).grey
    assert grey[:, :30].max() == 0
    assert grey[:, 30:].min() == 255
    palette = Image.fromarray(clear).convert("RGB").convert("P")
    grey = load(saved(tmp_path / "b.png", palette, transparency=bytes([0] * 256))).grey
    assert grey.min() == 255


def test_sixteen_bits_are_spread_over_eight(tmp_path: Path) -> None:
    # A 12-bit sensor in a 16-bit file: taken as it stands it would be almost black.
    deep = np.linspace(0, 4095, 100, dtype=np.uint16).reshape(1, -1).repeat(20, axis=0)
    for name in ("a.png", "a.tiff"):
        grey = load(saved(tmp_path / name, Image.fromarray(deep))).grey
        assert (grey[0, 0], grey[0, -1]) == (0, 255)
        assert np.all(np.diff(grey[0].astype(int)) >= 0)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "I", "F", "I;16", "YCbCr"])
def test_every_mode_that_tiff_or_png_holds(tmp_path: Path, mode: str) -> None:
    kind = "png" if mode in ("LA", "RGBA", "P", "1") else "tiff"
    grey = load(saved(tmp_path / f"a.{kind}", stored().convert(mode))).grey
    assert dark_corner(grey) == "top left"


def test_only_the_first_frame_counts(tmp_path: Path) -> None:
    white = Image.new("L", (100, 60), 255)
    for name in ("a.tiff", "a.gif", "a.webp", "a.png"):
        path = saved(tmp_path / name, stored(), save_all=True, append_images=[white, white])
        assert dark_corner(load(path).grey) == "top left"


def test_folders_are_searched_by_suffix_and_files_are_taken_at_their_word(tmp_path: Path) -> None:
    (tmp_path / "sub" / ".hidden").mkdir(parents=True)
    names = ["b.JPG", "a.png", "notes.txt", "sub/c.heic", "sub/d.TIFF", ".e.png", "sub/.hidden/f.png"]
    for name in names:
        (tmp_path / name).write_bytes(b"x")
    found = [path.relative_to(tmp_path).as_posix() for path in find([tmp_path])]
    assert found == ["a.png", "b.JPG", "sub/c.heic", "sub/d.TIFF"]
    assert find([tmp_path / "notes.txt", tmp_path / "notes.txt"]) == (tmp_path / "notes.txt",)
    assert find([tmp_path / "absent"]) == (tmp_path / "absent",)


def test_what_is_left_out_in_folders_is_counted_by_kind(tmp_path: Path) -> None:
    (tmp_path / "sub" / ".hidden").mkdir(parents=True)
    for name in ["a.png", "b.gif", "sub/c.GIF", "notes.txt", "README", ".e.gif", "sub/.hidden/f.gif"]:
        (tmp_path / name).write_bytes(b"x")
    assert passed_over([tmp_path, tmp_path / "sub", tmp_path / "b.gif"]) == {".gif": 2, ".txt": 1, "": 1}
    if os.name == "posix":
        (tmp_path / "gone.jpg").symlink_to(tmp_path / "absent.jpg")
        os.mkfifo(tmp_path / "pipe.jpg")
        assert passed_over([tmp_path])[""] == 3


def test_a_picture_under_a_wrong_suffix_is_still_a_picture(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", stored())
    renamed = path.rename(tmp_path / "scan.dat")
    assert load(renamed).media_type == "image/png"
    assert ".dat" not in SUFFIXES


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width: int, height: int) -> bytes:
    """A PNG header that announces many pixels, and a line of data."""
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("size", [(10_000, 5_001), (14_000, 10_000), (60_000, 60_000)])
def test_too_many_pixels_are_refused_before_decoding(tmp_path: Path, size: tuple[int, int]) -> None:
    assert size[0] * size[1] > LARGEST_PX
    (tmp_path / "a.png").write_bytes(bomb(*size))
    with pytest.raises(FileError) as refusal:
        load(tmp_path / "a.png")
    assert "megapixels" in refusal.value.why


@pytest.mark.parametrize("size", [(66_000, 20), (20, 66_000), (40_000_000, 1)])
def test_a_longer_side_than_any_decoder_takes_is_refused_before_decoding(tmp_path: Path, size: tuple[int, int]) -> None:
    assert max(size) > LONGEST_PX > 65_000
    (tmp_path / "a.png").write_bytes(bomb(*size))
    with pytest.raises(FileError) as refusal:
        load(tmp_path / "a.png")
    assert "pixels long" in refusal.value.why


@pytest.mark.parametrize("suffix", ["jpg", "png", "webp", "tiff"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.95])
def test_a_file_cut_short_is_refused(tmp_path: Path, suffix: str, share: float) -> None:
    noise = Image.fromarray(np.random.default_rng(1).integers(0, 255, (80, 90), np.uint8))
    whole = saved(tmp_path / f"a.{suffix}", noise).read_bytes()
    (tmp_path / f"b.{suffix}").write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(FileError):
        load(tmp_path / f"b.{suffix}")


def test_what_is_no_picture_is_refused_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "empty.jpg").touch()
    (tmp_path / "text.jpg").write_text("978-0-306-40615-7\n", encoding="utf-8")
    (tmp_path / "drawing.eps").write_bytes(b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n")
    for name in ("empty.jpg", "text.jpg", "drawing.eps", "absent.jpg", ""):
        with pytest.raises(FileError) as refusal:
            load(tmp_path / name)
        assert str(refusal.value).endswith(".")
        assert "\n" not in str(refusal.value)
        assert refusal.value.remedy


@settings(max_examples=examples(60), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    at=st.integers(0, 10_000), junk=st.binary(min_size=1, max_size=12), kind=st.sampled_from(["JPEG", "PNG", "TIFF"])
)
def test_damage_anywhere_gives_a_picture_or_a_refusal(tmp_path: Path, at: int, junk: bytes, kind: str) -> None:
    buffer = io.BytesIO()
    stored().save(buffer, kind)
    data = bytearray(buffer.getvalue())
    at %= len(data)
    data[at : at + len(junk)] = junk
    (tmp_path / "a").write_bytes(bytes(data))
    try:
        picture = load(tmp_path / "a")
    except FileError:
        return
    assert isinstance(picture, Loaded)
    assert picture.grey.size > 0


def test_tiny_and_long_pictures_load(tmp_path: Path) -> None:
    for size in ((1, 1), (1, 3000), (3000, 1)):
        picture = load(saved(tmp_path / "a.png", Image.new("RGB", size, "white")))
        assert (picture.width_px, picture.height_px) == size
        assert picture.grey.min() == 255


@pytest.mark.parametrize("suffix", ["tiff", "gif", "webp", "png"])
def test_pages_and_frames_after_the_first_are_counted(tmp_path: Path, suffix: str) -> None:
    further = [Image.fromarray(np.full((60, 100), tone, np.uint8)) for tone in (60, 120)]
    first = load(saved(tmp_path / f"a.{suffix}", stored(), save_all=True, append_images=further))
    assert first.pages == 3
    assert dark_corner(first.grey) == "top left"
    assert load(saved(tmp_path / f"b.{suffix}", stored())).pages == 1


def test_a_preview_in_a_tiff_is_not_a_page(tmp_path: Path) -> None:
    # TIFF 6.0, tag 254 NewSubfileType, bit 0: "a reduced-resolution version of another image in this TIFF file".
    preview = stored().resize((50, 30))
    preview.encoderinfo = {"tiffinfo": {SUBFILE_TYPE: 1}}
    assert load(saved(tmp_path / "a.tiff", stored(), save_all=True, append_images=[preview])).pages == 1


def test_a_second_page_that_is_damaged_does_not_lose_the_first(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.tiff", stored(), save_all=True, append_images=[stored()])
    data = path.read_bytes()
    with Image.open(path) as image:
        image.seek(1)
        second = image._frame_pos[1]  # type: ignore[attr-defined]  # where its directory begins
    path.write_bytes(data[: second + 1])
    assert dark_corner(load(path).grey) == "top left"
