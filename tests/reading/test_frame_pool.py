"""Frames pooled: evidence that adds up, one reading a book, and the change of books.

Frames are generated: symbols of an independent encoder (zint), each frame with its own blur, noise and place.
"""

from collections.abc import Sequence
from pathlib import Path

import cv2
import numpy as np
import pytest
import zint

from intake.edges.camera import frames
from intake.errors import FileError
from intake.flow.pictures.watch_camera import watch
from intake.model.readings import Reading
from intake.reading.decoders import Decoder, available
from intake.reading.frame_pool import GONE, FramePool
from intake.reading.read import read
from intake.reading.symbol_forms import kind_of
from tests.reading.drawing import Grey, Shot, photograph, symbol

DECODERS: tuple[Decoder, ...] = available()
FIRST, SECOND = "9780306406157", "9783161484100"


def suggested(number: str, score: float, *methods: str) -> list[Reading]:
    return [Reading(number, kind_of(number), accepted=False, score=score, methods=methods)]


def accepted(number: str) -> list[Reading]:
    return [Reading(number, kind_of(number), accepted=True, score=1, methods=("zxing", "zbar"))]


def numbers(frames_read: Sequence[Sequence[Reading]]) -> list[str]:
    """Return the numbers reported over a sequence of frames, in order."""
    pool, reported = FramePool(), list[Reading]()
    for readings in frames_read:
        pool, newly_accepted = pool.add(readings)
        reported += newly_accepted
    return [reading.number for reading in reported]


def test_suggestions_of_several_frames_add_up() -> None:
    weak = suggested(FIRST, 0.95, "grey")
    assert numbers([weak] * 2) == []
    assert numbers([weak] * 8) == [FIRST]


def test_one_decoder_alone_is_never_enough_however_often_it_repeats_itself() -> None:
    assert numbers([suggested(FIRST, 0.9, "zbar")] * 100) == []


def test_rivals_count_twice() -> None:
    assert numbers([suggested(FIRST, 0.95, "grey"), suggested(SECOND, 0.95, "grey")] * 20) == []


def test_one_book_is_told_once_and_the_next_one_at_once() -> None:
    assert numbers([accepted(FIRST)] * 5 + [accepted(SECOND)] * 5) == [FIRST, SECOND]
    assert numbers([accepted(FIRST), [], [], accepted(FIRST)]) == [FIRST]


def test_two_books_before_the_camera_are_told_once_each_though_frames_show_now_one_now_the_other() -> None:
    assert numbers([accepted(FIRST), accepted(SECOND), suggested(FIRST, 0.5, "zbar")] * 6) == [FIRST, SECOND]


def test_a_second_copy_is_told_once_the_first_was_taken_away() -> None:
    assert numbers([accepted(FIRST), *[[]] * GONE, accepted(FIRST)]) == [FIRST, FIRST]


def frame(number: str, seed: int, *, blur: float, noise: float) -> Grey:
    """Draw one frame of a book held out of focus, its place and noise its own."""
    random = np.random.default_rng(seed)
    centre = (160 + random.uniform(-8, 8), 120 + random.uniform(-8, 8))
    shot = Shot(
        size=(320, 240), centre=centre, module_px=1.8, angle=float(random.uniform(-5, 5)), blur_px=0, noise=0, ground=90
    )
    sharp, _ = photograph(symbol(zint.Symbology.EANX, number[:12]), shot)
    light = cv2.GaussianBlur((sharp.astype(np.float32) / 255) ** 2.2, (0, 0), blur * 1.8)
    return np.asarray(
        np.clip(np.rint(255 * light ** (1 / 2.2) + random.normal(0, noise, light.shape)), 0, 255), np.uint8
    )


def video(path: Path, shown: Sequence[Grey]) -> Path:
    """Write frames as a video of still pictures (motion JPEG)."""
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*"MJPG"), 10, shown[0].shape[::-1])
    for grey in shown:
        writer.write(cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR))
    writer.release()
    return path


def test_a_video_of_two_books_gives_two_readings(tmp_path: Path) -> None:
    empty = np.full((240, 320), 128, np.uint8)
    shown = [frame(FIRST, seed, blur=0.6, noise=3) for seed in range(4)] + [empty] * 2
    shown += [frame(SECOND, seed, blur=0.9, noise=3) for seed in range(4)]
    path = video(tmp_path / "two.avi", shown)
    assert [grey.shape for grey in frames(path)] == [(240, 320)] * len(shown)
    assert [reading.number for reading in watch(path, DECODERS)] == [FIRST, SECOND]


def test_what_is_no_video_is_told_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "text.avi").write_text("no video", encoding="utf-8")
    with pytest.raises(FileError):
        next(frames(tmp_path / "text.avi"))


@pytest.mark.parametrize("blur", [1.43, 1.5])
@pytest.mark.parametrize("noise", [4, 5, 6])
def test_no_amount_of_noise_between_two_hides_a_blurred_symbol(blur: float, noise: float) -> None:
    """At noise 5 a part of the bars stands out from it, at 6 none: the averaged picture shows them whole each time."""
    readings = read(frame(FIRST, 1, blur=blur, noise=noise), decoders=DECODERS)
    assert [(reading.number, reading.accepted) for reading in readings] == [(FIRST, True)]
