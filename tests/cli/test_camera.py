"""`intake read` before a camera, and with a catalog: videos and pictures are drawn by an encoder that is not ours."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
import zint

from tests.cli.conftest import Intake
from tests.reading.drawing import Shot, photograph, symbol
from tests.reading.test_frame_pool import FIRST, SECOND, frame, video
from tests.reading.test_grey_level import BOOK, defocused, others


def test_a_video_is_read_as_a_camera_is(intake: Intake, tmp_path: Path) -> None:
    shown = [frame(number, seed, blur=0.7, noise=3) for number in (FIRST, SECOND) for seed in range(3)]
    video(tmp_path / "books.avi", shown)
    said = intake("read", "--json", "--camera", "books.avi")
    told = [json.loads(line) for line in said.out.splitlines()]
    assert said.status == 0
    assert [each["readings"][0]["number"] for each in told] == [FIRST, SECOND]
    assert {each["file"] for each in told} == {"books.avi"}


def test_what_is_no_video_ends_with_1_and_is_named(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "books.avi").write_bytes(b"no video")
    said = intake("read", "--camera", "books.avi")
    assert said.status == 1
    assert "books.avi was cut short or is damaged; copy it again" in said.err
    (tmp_path / "books.txt").write_bytes(b"no video")
    assert "give an MP4" in intake("read", "--camera", "books.txt").err
    assert "does not exist" in intake("read", "--camera", "gone.mp4").err


def test_a_video_of_which_the_end_is_missing_is_told(intake: Intake, tmp_path: Path) -> None:
    # The header of an AVI file stands at its beginning, so that a copy that broke off still states all its frames.
    whole = video(tmp_path / "whole.avi", [frame(FIRST, seed, blur=0.7, noise=3) for seed in range(12)])
    data = whole.read_bytes()
    (tmp_path / "cut.avi").write_bytes(data[: len(data) // 2])
    assert "cut short" not in intake("read", "--camera", "whole.avi").err
    said = intake("read", "--camera", "cut.avi")
    assert said.status == 0
    assert "cut.avi was cut short or is damaged: of its 12 frames" in said.err
    told = json.loads(intake("read", "--many", "--json", "--camera", "cut.avi").out)
    assert 0 < told["frames"] < 8
    assert f"of its 12 frames {told['frames']} could be read" in told["cut_short"]


@pytest.mark.parametrize("listed", [True, False])
def test_the_catalog_is_the_readers_code_book(intake: Intake, tmp_path: Path, listed: bool) -> None:
    cv2.imwrite(str(tmp_path / "blurred.png"), np.asarray(defocused(BOOK, blur=1.5, noise=3)))
    numbers = [*others(200), *([BOOK] if listed else [])]
    rows = "\n".join(f"{number},Title {number}" for number in numbers)
    (tmp_path / "catalog.csv").write_text(f"isbn,title\n{rows}\n", encoding="utf-8")
    said = intake("read", "--json", "--catalog", "catalog.csv", "blurred.png")
    (reading,) = json.loads(said.out)["readings"]
    assert (reading["number"], reading["accepted"]) == (BOOK, True)
    assert ("book" in reading["methods"]) == listed


def test_an_add_on_that_is_seen_and_not_read_is_told(intake: Intake, tmp_path: Path) -> None:
    grey, _ = photograph(symbol(zint.Symbology.EANX_CHK, f"{FIRST}+51299"), Shot(size=(480, 360)))
    cv2.imwrite(str(tmp_path / "cut.png"), grey[:, :400])
    assert "may be an add-on; none was read" in intake("read", "--bars-only", "cut.png").out
    assert json.loads(intake("read", "--bars-only", "--json", "cut.png").out)["readings"][0]["add_on_unread"]
