"""`intake read --covers` and `intake unpack` with pictures of covers. The covers are drawn and invented."""

import json
from pathlib import Path

import cv2
import pytest

from tests.cli.conftest import Intake
from tests.covers.drawn_covers import draw_cover, photograph


@pytest.fixture
def covers(tmp_path: Path) -> Path:
    folder = tmp_path / "covers"
    folder.mkdir()
    for name, number in (("A1-59", 1), ("CHARTS", 3)):
        cv2.imwrite(str(folder / f"{name}.png"), draw_cover(number))
    cv2.imwrite(str(tmp_path / "seen.png"), photograph(draw_cover(3), 3))
    cv2.imwrite(str(tmp_path / "strange.png"), photograph(draw_cover(12), 12))
    return folder


def test_each_picture_has_the_covers_it_shows(intake: Intake, covers: Path) -> None:
    said = intake("read", "--json", "--bars-only", "--covers", covers, "seen.png", "strange.png")
    seen, strange = (json.loads(line) for line in said.out.splitlines())
    (match,) = seen["covers"]
    assert (match["name"], match["file"], match["accepted"]) == ("CHARTS", "CHARTS.png", True)
    assert match["probability"] > 0.9
    assert len(match["corners"]) == 4
    assert strange["covers"] == []
    assert "covers" not in json.loads(intake("read", "--json", "--bars-only", "seen.png").out)


def test_it_is_said_in_words(intake: Intake, covers: Path) -> None:
    out = intake("read", "--bars-only", "--covers", covers, "seen.png", "strange.png").out
    assert "seen.png: the cover of CHARTS (" in out
    assert "strange.png: none of the covers" in out


def test_covers_in_common_and_pictures_left_out_are_named(intake: Intake, covers: Path) -> None:
    cv2.imwrite(str(covers / "REPRINT.png"), photograph(draw_cover(3), 1000))
    (covers / "note.jpg").write_text("not a picture", encoding="utf-8")
    said = intake("read", "--bars-only", "--covers", covers, "seen.png")
    assert "CHARTS" in said.out
    assert "REPRINT" in said.out
    assert "the pictures do not tell which of them it is" in said.out
    assert "note.jpg was left out" in said.err


def test_wrong_use_is_refused(intake: Intake, covers: Path, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "contains no picture that can be compared with" in intake("read", "--covers", empty, "seen.png").err
    assert "is not a folder" in intake("read", "--covers", "seen.png", "seen.png").err
    assert "are not compared with covers" in intake("read", "--covers", covers, "--camera", "0").err


def test_a_book_comes_out_of_its_box_by_a_picture_in_a_folder(stocked: Intake, covers: Path, tmp_path: Path) -> None:
    (covers / "CHARTS.png").rename(covers / "O1.png")
    cv2.imwrite(str(covers / "nobody.png"), draw_cover(5))
    said = stocked("unpack", "1", "seen.png", "--covers", covers)
    assert "Old Charts without a Number" in said.out
    assert "its cover is that of the photograph of copy A4-32" in said.out
    assert "nobody.png was left out" in said.out
    assert stocked("unpack", "1", "--covers", covers).status == 2
