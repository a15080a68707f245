"""`intake compare` and `intake condition changes`. The covers are drawn and invented."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from tests.cli.conftest import Intake
from tests.covers.drawn_pair import crushed_pair


@pytest.fixture
def pictures(tmp_path: Path) -> Path:
    before, after, _ = crushed_pair()
    (tmp_path / "before.png").write_bytes(before)
    (tmp_path / "after.png").write_bytes(after)
    return tmp_path


def test_two_pictures_are_compared_and_saved_beside_each_other(intake: Intake, pictures: Path) -> None:
    said = intake("compare", "before.png", "after.png", "--size", "330mm", "462mm", "--save", "both.png")
    assert said.status == 0
    assert "Look here, 1 place:" in said.out
    assert "bottom left corner, about" in said.out
    saved = cv2.imread(str(pictures / "both.png"))
    assert saved is not None
    assert saved.shape[1] > saved.shape[0]
    found = json.loads(intake("compare", "--json", "before.png", "after.png").out)
    (change,) = found["changes"]
    assert (found["verdict"], change["part"], change["length_mm"]) == ("compared", "bottom left corner", None)


def test_what_cannot_be_compared_is_said(intake: Intake, pictures: Path) -> None:
    (pictures / "note.png").write_text("not a picture", encoding="utf-8")
    cv2.imwrite(str(pictures / "grey.png"), np.full((90, 60), 99, np.uint8))
    assert intake("compare", "before.png", "grey.png").status == 1
    assert "do not agree in enough places" in intake("compare", "before.png", "grey.png").out
    assert "is not a picture" in intake("compare", "before.png", "note.png").err
    assert "does not exist" in intake("compare", "before.png", "nowhere.png").err
    assert "can be written" in intake("compare", "before.png", "after.png", "--save", "both.txt").err


def test_a_copy_without_two_pictures_has_nothing_to_compare(stocked: Intake) -> None:
    said = stocked("condition", "changes", "1")
    assert said.status == 1
    assert "no earlier and later picture" in said.out
