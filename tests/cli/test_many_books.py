"""`intake read --many` and `intake unpack --many`; the pictures are drawn by an encoder that is not ours."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from intake.cli.context import CommandContext
from intake.edges import ocr
from tests.cli.conftest import Intake
from tests.reading.drawn_stack import drawn_books
from tests.reading.test_frame_pool import video

FERNS, INNER = "9780306406157", "9783161484100"


@pytest.fixture
def stack(tmp_path: Path) -> str:
    grey, _ = drawn_books([INNER, FERNS], columns=2, module_px=1.2, seed=6)
    cv2.imwrite(str(tmp_path / "stack.png"), grey)
    return "stack.png"


def test_everything_in_a_picture_is_shown_in_order(intake: Intake, stack: str) -> None:
    said = intake("read", "--many", "--bars-only", "--json", stack)
    shown = json.loads(said.out)
    assert [(each["number"], each["accepted"]) for each in shown["readings"]] == [(INNER, True), (FERNS, True)]
    assert (shown["spines"], shown["text_missing"], shown["left_out"], shown["error"]) == ([], False, 0, None)
    words = intake("read", "--many", "--bars-only", stack).out
    assert words.index("978-3-16-148410-0") < words.index("978-0-306-40615-7")


def test_a_film_shows_each_book_once_in_order(intake: Intake, tmp_path: Path) -> None:
    shelf, _ = drawn_books([INNER, FERNS], columns=2, module_px=2.2, seed=8)
    video(tmp_path / "shelf.avi", [shelf[:416, x : x + 640] for x in (480, 320, 160, 0, 160)])
    said = intake("read", "--many", "--json", "--camera", "shelf.avi")
    told = json.loads(said.out)
    assert [each["number"] for each in told["readings"]] == [INNER, FERNS]
    assert (told["frames"], told["frames_read"], told["frames_empty"], told["cut_short"]) == (5, 5, 0, None)
    assert "The text on spines is not read in a film" in intake("read", "--many", "--camera", "shelf.avi").out
    assert "has no end" in intake("read", "--many", "--camera", "0").err


def test_frames_of_a_film_without_a_certain_number_are_counted(intake: Intake, tmp_path: Path) -> None:
    shelf, _ = drawn_books([INNER, FERNS], columns=2, module_px=2.2, seed=8)
    blurred = np.asarray(cv2.blur(shelf, (61, 1)), np.uint8)
    film = [*(shelf[:416, x : x + 640] for x in (480, 320)), *(blurred[:416, x : x + 640] for x in (160, 0))]
    video(tmp_path / "shelf.avi", film)
    said = intake("read", "--many", "--bars-only", "--camera", "shelf.avi")
    assert "In 2 of the 4 frames that were read no number was certain" in said.out
    assert "spines" not in said.out


@pytest.mark.slow
def test_a_box_is_answered_as_a_list_and_booked_unless_it_is_a_dry_run(stocked: Intake, stack: str) -> None:
    pytest.importorskip("rapidocr", reason="the text of spines is read only where that part is installed")
    dry = stocked("unpack", "1", "--many", "--dry-run", stack)
    assert dry.status == 0
    assert "1 of 4 copies still in it were found" in dry.out
    assert dry.out.count("not seen: ") == 3
    assert "not listed: 978-3-16-148410-0" in dry.out
    assert "Nothing was booked" in dry.out
    assert stocked("pile", "list").out == "Nothing waits.\n"
    done = stocked("unpack", "1", "--many", "--no-ask", stack)
    assert "A1-59  Ferns of the Outer Isles" in done.out
    assert "query 1" in done.out


def test_output_that_is_closed_half_way_is_told(stocked: Intake, stack: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def closed(*_: object, **__: object) -> None:
        raise BrokenPipeError

    monkeypatch.setattr(ocr, "is_installed", lambda: False)
    monkeypatch.setattr(CommandContext, "say", closed)
    assert "perhaps not everything was booked" in stocked("unpack", "1", "--many", "--no-ask", stack).err
    assert "booked" not in stocked("unpack", "1", "--many", "--dry-run", stack).err


def test_options_that_do_not_go_together_are_refused(stocked: Intake, stack: str) -> None:
    assert "add --many" in stocked("unpack", "1", "--dry-run", stack).err
    assert "name the pictures" in stocked("unpack", "1", "--many").err
    assert "leave out --covers" in stocked("unpack", "1", "--many", "--covers", ".", stack).err
    assert "are not compared with covers" in stocked("read", "--many", "--covers", ".", stack).err
    assert stocked("unpack", "1", "--many", "gone.png").status != 0


@pytest.mark.parametrize(
    "command", [("read",), ("read", "--many"), ("unpack", "1", "--no-ask"), ("unpack", "1", "--many", "--dry-run")]
)
def test_further_pages_of_a_file_are_told(stocked: Intake, tmp_path: Path, command: tuple[str, ...]) -> None:
    pages = [Image.fromarray(drawn_books([number], columns=1, module_px=2, seed=6)[0]) for number in (INNER, FERNS)]
    pages[0].save(tmp_path / "scan.tiff", save_all=True, append_images=pages[1:])
    assert "scan.tiff has 2 pages or frames, and only the first was read" in stocked(*command, "scan.tiff").out
    if command[0] == "read":
        assert json.loads(stocked(*command, "--json", "scan.tiff").out)["pages"] == 2
