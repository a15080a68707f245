"""Pictures in colour, in and out."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from intake.edges.colour_pictures import jpeg_of, load_colours, save_colours
from intake.errors import FileError

RED = (200, 10, 20)


@pytest.mark.parametrize(("mode", "colour"), [("RGB", RED), ("RGBA", (*RED, 255)), ("P", 0), ("L", 90), ("I;16", 9000)])
def test_whatever_a_file_holds_it_is_three_colours_of_eight_bits(tmp_path: Path, mode: str, colour: object) -> None:
    Image.new(mode, (6, 4), colour).save(tmp_path / "one.png")  # type: ignore[arg-type] # as the mode asks
    picture = load_colours(tmp_path / "one.png")
    assert picture.shape == (4, 6, 3)
    assert picture.dtype == np.uint8
    if mode in ("RGB", "RGBA"):
        assert picture[0, 0].tolist() == list(RED)


def test_a_turned_picture_is_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.new("RGB", (6, 4), RED).save(tmp_path / "one.png", exif=exif)
    assert load_colours(tmp_path / "one.png").shape == (6, 4, 3)


def test_what_is_saved_is_what_was_there(tmp_path: Path) -> None:
    picture = np.arange(60, dtype=np.uint8).reshape(4, 5, 3)
    save_colours(picture, tmp_path / "one.png")
    assert (load_colours(tmp_path / "one.png") == picture).all()
    assert Image.open(io.BytesIO(jpeg_of(np.repeat(picture, 9, axis=0), 18))).size[1] == 18


def test_files_that_cannot_be_opened_or_written_are_refused(tmp_path: Path) -> None:
    (tmp_path / "note.jpg").write_text("not a picture", encoding="utf-8")
    Image.new("1", (32_001, 2)).save(tmp_path / "strip.png")
    for name in ("note.jpg", "strip.png"):
        with pytest.raises(FileError):
            load_colours(tmp_path / name)
    with pytest.raises(FileError):
        save_colours(np.zeros((2, 2, 3), np.uint8), tmp_path / "one.txt")
    with pytest.raises(FileError):
        save_colours(np.zeros((2, 2, 3), np.uint8), tmp_path / "nowhere" / "one.png")
