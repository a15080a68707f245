"""Stored pictures for a screen, and pictures as a station sends them."""

import io
from pathlib import Path

import pytest
from PIL import Image

from intake.errors import FileError
from intake.flow.pictures.read_shelf import read_labels
from intake.flow.pictures.received import load_received, picture_record
from intake.flow.pictures.thumbnail import thumbnail


def picture(folder: Path, width: int, height: int) -> Path:
    path = folder / "one.png"
    Image.new("RGB", (width, height), "navy").save(path)
    return path


@pytest.mark.parametrize(("width", "height", "size"), [(400, 100, (80, 20)), (100, 400, (20, 80)), (40, 30, (40, 30))])
def test_a_thumbnail_is_no_longer_than_asked_for_and_never_larger_than_the_picture(
    tmp_path: Path, width: int, height: int, size: tuple[int, int]
) -> None:
    small = Image.open(io.BytesIO(thumbnail(picture(tmp_path, width, height), 80)))
    assert (small.format, small.size) == ("JPEG", size)


def test_a_picture_as_bytes_has_the_record_of_its_file(tmp_path: Path) -> None:
    path = picture(tmp_path, 40, 30)
    loaded, record = load_received(path.read_bytes()).record, picture_record(path)
    assert (record.width_px, record.height_px, record.media_type) == (40, 30, "image/png")
    assert (loaded.sha256, loaded.width_px, loaded.height_px) == (record.sha256, 40, 30)
    with pytest.raises(FileError):
        picture_record(tmp_path / "none.png")


def test_a_photograph_without_labels_gives_none(tmp_path: Path) -> None:
    assert read_labels(picture(tmp_path, 200, 150), ()) == ()
