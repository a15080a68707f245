"""Pictures of many books: the text of drawn spines, standing and lying, by the text reader itself; what is refused."""

from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.edges import ocr
from intake.flow.pictures.read_scene import read_scene, read_scenes
from intake.model.folding import fold
from intake.reading.decoders import available
from tests.reading.drawing import Grey

TITLES = (("Ferns of the", "Outer Isles"), ("A Guide to Gulls",), ("Old Charts", "without Number"), ("Peat and Ash",))


def drawn_spine(lines: tuple[str, ...], tone: int) -> Grey:
    spine = np.full((130, 720), tone, np.uint8)
    for nth, line in enumerate(lines):
        down = 58 + 48 * nth if len(lines) > 1 else 80
        cv2.putText(spine, line, (60, down), cv2.FONT_HERSHEY_DUPLEX, 1.4, 25, 2, cv2.LINE_AA)
    spine[:4] = spine[-4:] = 60
    return spine


def drawn_shelf(*, quarters: int) -> Grey:
    """Draw the books of `TITLES` below each other, turned anticlockwise by quarter turns."""
    stack = np.concatenate([drawn_spine(lines, 215 - 12 * nth) for nth, lines in enumerate(TITLES)])
    return np.ascontiguousarray(np.rot90(stack, quarters))


@pytest.mark.slow
@pytest.mark.parametrize("quarters", [0, 1, 3])
def test_each_spine_is_one_text_in_the_order_in_which_it_stands(quarters: int) -> None:
    pytest.importorskip("rapidocr")
    scene = read_scene(drawn_shelf(quarters=quarters), available())
    order = TITLES if quarters < 3 else TITLES[::-1]
    # Which way the text runs is not told, so that its words may come in another order.
    assert [sorted(fold(spine.text).replace(" ", "")) for spine in scene.spines] == [
        sorted(fold(" ".join(lines)).replace(" ", "")) for lines in order
    ]
    assert scene.symbols == ()


def test_a_file_that_cannot_be_opened_has_its_reason_and_the_others_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ocr, "is_installed", lambda: False)
    cv2.imwrite(str(tmp_path / "shelf.png"), drawn_shelf(quarters=0))
    (tmp_path / "note.jpg").write_text("not a picture", encoding="utf-8")
    bad, good, sent = read_scenes(
        [tmp_path / "note.jpg", tmp_path / "shelf.png", (tmp_path / "shelf.png").read_bytes()], available()
    )
    assert (bad.picture, bad.scene.symbols) == (None, ())
    assert "note.jpg" in (bad.error or "")
    assert (good.error, good.text_missing, good.scene.spines) == (None, True, ())
    assert good.picture is not None
    assert sent.picture is not None
    assert sent.picture.sha256 == good.picture.sha256
