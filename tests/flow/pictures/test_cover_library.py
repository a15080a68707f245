"""Folders of covers, indexed and kept. The covers are drawn and invented."""

import shutil
from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.edges import pictures
from intake.errors import FileError
from intake.flow.pictures.cover_folder import covers_in
from intake.flow.pictures.cover_library import CoverLibrary, open_covers
from intake.model.covers import CoverVerdict
from tests.covers.drawn_covers import draw_cover, photograph

SHOWN = 3
"""The cover that is photographed."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, number in (("A1-59", 1), ("GULLS", 2), ("CHARTS", SHOWN)):
        cv2.imwrite(str(tmp_path / f"{name}.png"), draw_cover(number))
    return tmp_path


def opened(folder: Path) -> tuple[CoverLibrary, int]:
    """Open a folder, and count the pictures that had to be opened."""
    ticks: list[None] = []
    return open_covers(folder, covers_in(folder)[0], tick=lambda: ticks.append(None)), len(ticks)


def owners(folder: Path, number: int = SHOWN) -> tuple[CoverVerdict, tuple[str, ...]]:
    answer = opened(folder)[0].look(photograph(draw_cover(number), number))
    return answer.verdict, answer.owners


def test_a_photograph_is_known_by_its_cover_and_a_stranger_is_not(folder: Path) -> None:
    assert owners(folder) == (CoverVerdict.SAME, ("CHARTS",))
    assert owners(folder, 12) == (CoverVerdict.NONE, ())


def test_two_things_in_one_cover_are_both_named_and_so_is_one_file_of_two(folder: Path) -> None:
    cv2.imwrite(str(folder / "CHARTS, reprint.png"), photograph(draw_cover(SHOWN), 1000))
    verdict, named = owners(folder)
    assert (verdict, set(named)) == (CoverVerdict.SEVERAL, {"CHARTS", "CHARTS, reprint"})
    (folder / "CHARTS, reprint.png").unlink()
    shutil.copy(folder / "CHARTS.png", folder / "ATLAS.png")
    verdict, named = owners(folder)
    assert (verdict, set(named)) == (CoverVerdict.SEVERAL, {"CHARTS", "ATLAS"})


def test_two_books_in_one_picture_are_said_to_be_two(folder: Path) -> None:
    both = np.hstack([draw_cover(2), draw_cover(SHOWN)])
    answer = opened(folder)[0].look(np.asarray(both, np.uint8))
    assert (answer.verdict, set(answer.owners)) == (CoverVerdict.BESIDE, {"GULLS", "CHARTS"})


def test_several_pictures_of_one_thing_are_one(folder: Path) -> None:
    (folder / "CHARTS").mkdir()
    cv2.imwrite(str(folder / "CHARTS" / "front.png"), photograph(draw_cover(SHOWN), 1000))
    cv2.imwrite(str(folder / "CHARTS (2).png"), photograph(draw_cover(SHOWN), 1001))
    assert owners(folder) == (CoverVerdict.SAME, ("CHARTS",))


def test_only_new_pictures_are_opened_and_lost_ones_are_forgotten(folder: Path) -> None:
    assert opened(folder)[1] == 3
    assert opened(folder)[1] == 0
    cv2.imwrite(str(folder / "NEW.png"), draw_cover(4))
    assert opened(folder)[1] == 1
    assert owners(folder, 4) == (CoverVerdict.SAME, ("NEW",))
    (folder / "CHARTS.png").unlink()
    assert owners(folder) == (CoverVerdict.NONE, ())
    assert len(list((folder / ".covers").rglob("??/*.npz"))) == 3


@pytest.mark.parametrize("damage", [b"", b"not an archive", b"PK\x03\x04 cut short"])
def test_what_is_kept_and_damaged_is_made_again(folder: Path, damage: bytes) -> None:
    opened(folder)
    for kept in (folder / ".covers").rglob("*.npz"):
        kept.write_bytes(damage)
    assert owners(folder) == (CoverVerdict.SAME, ("CHARTS",))


def test_a_picture_is_not_compared_with_itself(folder: Path) -> None:
    charts = pictures.load(folder / "CHARTS.png")
    assert opened(folder)[0].look(charts.grey).owners == ("CHARTS",)
    assert opened(folder)[0].look(charts.grey, besides=charts.sha256).verdict is CoverVerdict.NONE


def test_what_cannot_be_compared_with_is_named(folder: Path) -> None:
    (folder / "note.jpg").write_text("not a picture", encoding="utf-8")
    (folder / "empty.jpg").write_bytes(b"")
    cv2.imwrite(str(folder / "grey.png"), draw_cover(1) * 0 + 99)
    known, unusable = covers_in(folder)
    assert [cover.name for cover in unusable] == ["empty.jpg"]
    left_out = open_covers(folder, known).unusable
    assert {cover.name: cover.error is None for cover in left_out} == {"note.jpg": False, "grey.png": True}


def test_a_folder_without_pictures_knows_nothing_and_a_file_is_no_folder(tmp_path: Path) -> None:
    assert owners(tmp_path) == (CoverVerdict.NONE, ())
    with pytest.raises(FileError):
        covers_in(tmp_path / "nowhere")
