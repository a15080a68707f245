"""`intake read` on a copyright page: lines of text as a reader gives them, so that no reader is needed."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.edges import ocr
from intake.model.readings import TextLine
from tests.cli.conftest import Intake
from tests.reading.drawing import Shot, photograph
from tests.reading.test_misprints import misprinted

PAGE = (
    TextLine("ISBN 0-306-40615-2 (cloth)", (50, 50, 250, 62)),
    TextLine("ISBN 3-16-148410-X (set)", (50, 80, 250, 92)),
)


@pytest.fixture
def page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A picture in which the pretended reader finds two numbers."""
    monkeypatch.setattr(ocr, "is_installed", lambda: True)
    monkeypatch.setattr(ocr, "read_page", lambda *_: PAGE)
    lettered = cv2.putText(
        np.full((300, 400), 200, np.uint8), "no number", (60, 150), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 40, 2
    )
    cv2.imwrite(str(tmp_path / "page.png"), lettered)
    return "page.png"


def test_what_is_printed_is_shown_to_choose_from(intake: Intake, page: str, tmp_path: Path) -> None:
    (tmp_path / "catalog.csv").write_text("isbn,title\n9783161484100,Ferns of the Wall\n", encoding="utf-8")
    said = intake("read", "--catalog", "catalog.csv", page)
    assert said.out.splitlines() == [
        "page.png: perhaps ISBN 978-3-16-148410-0  Ferns of the Wall",
        "    printed: 978-3-16-148410-0 (set)  Ferns of the Wall",
        "    printed: 978-0-306-40615-7 (cloth)",
    ]


def test_json_says_that_it_is_print_and_not_accepted(intake: Intake, page: str) -> None:
    (reading,) = json.loads(intake("read", "--json", page).out)["readings"]
    assert (reading["number"], reading["accepted"], reading["methods"]) == ("9780306406157", False, ["print"])
    assert reading["runner_up"] == "9783161484100"


def test_bars_only_leaves_print_alone(intake: Intake, page: str) -> None:
    assert intake("read", "--bars-only", page).out == "page.png: nothing read\n"


def test_bars_that_contradict_the_print_above_them_are_told(
    intake: Intake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Weights 1 and 3 in turn (ISO 2108): 9+21+8+0+3+0+6+12+0+18+1+15 = 93, so that it ends in 7; the bars say 1.
    grey, _ = photograph(misprinted("978030640615", "1"), Shot(module_px=2.4, blur_px=0.5))
    monkeypatch.setattr(ocr, "is_installed", lambda: True)
    monkeypatch.setattr(ocr, "read_page", lambda *_: (TextLine("ISBN 978-0-306-40615-7", (250, 300, 450, 320)),))
    cv2.putText(grey, "no number", (200, 120), cv2.FONT_HERSHEY_SIMPLEX, 1.0, 40, 2)
    cv2.imwrite(str(tmp_path / "wrong.png"), grey)
    assert intake("read", "wrong.png").out.splitlines() == [
        "wrong.png: perhaps ISBN 978-0-306-40615-7",
        "    the bars read 9780306406151, which fails its check digit",
    ]
    (reading,) = json.loads(intake("read", "--json", "wrong.png").out)["readings"]
    assert (reading["number"], reading["misprint"]) == ("9780306406157", "9780306406151")
    assert (
        json.loads(intake("read", "--json", "--bars-only", "wrong.png").out)["readings"][0]["misprint"]
        == "9780306406151"
    )
