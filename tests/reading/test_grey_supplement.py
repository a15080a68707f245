"""Supplements read from grey levels: symbols with add-ons by an independent encoder (zint), blurred by arithmetic.

Blur is given in modules. General decoders leave supplements from about half a module on.
"""

import cv2
import numpy as np
import pytest
import zint

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading import supplements
from intake.reading.decoders import Decoder, available
from intake.reading.fuse import SupplementEvidence, with_supplement
from intake.reading.grey_supplement import read_supplement
from intake.reading.read import read
from tests.reading.drawing import Grey, Shot, photograph, symbol

DECODERS: tuple[Decoder, ...] = available()
BOOK = "9780306406157"
ISSUE = "9771234567003"
MODULE_PX = 2.0
SURE = 1e-5
MODULES = 95


def drawn(text: str, gap: int | None = None) -> Grey:
    """Draw a number, or a number and its supplement after a plus sign; the gap is that of the encoder or one named."""
    if gap is None:
        return symbol(zint.Symbology.EANX, text)
    encoder = zint.Symbol()
    encoder.symbology, encoder.scale, encoder.show_text, encoder.option_2 = zint.Symbology.EANX, 4.0, False, gap
    encoder.encode(text)
    encoder.buffer()
    bitmap = np.array(encoder.bitmap)[..., 0]
    ys, xs = np.nonzero(bitmap < 128)
    return np.ascontiguousarray(bitmap[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1])


def shown(
    bitmap: Grey, *, blur: float, angle: float = 3, tilt: float = 0, noise: float = 2
) -> tuple[Grey, tuple[Point, ...]]:
    """Photograph a bitmap out of focus; return the picture and where the 95 modules of its symbol lie."""
    shot = Shot(size=(440, 260), module_px=MODULE_PX, angle=angle, tilt=tilt, blur_px=0, noise=0, ground=90)
    sharp, corners = photograph(bitmap, shot)
    light = cv2.GaussianBlur((sharp.astype(np.float32) / 255) ** 2.2, (0, 0), max(blur, 0.05) * MODULE_PX)
    levels = 255 * light ** (1 / 2.2) + np.random.default_rng(7).normal(0, noise, light.shape)
    share = MODULES * 8 / bitmap.shape[1]
    unit = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32)
    onto = cv2.getPerspectiveTransform(unit, corners.astype(np.float32))
    part = cv2.perspectiveTransform(np.array([[[0, 0], [share, 0], [share, 1], [0, 1]]], np.float64), onto)[0]
    return np.asarray(np.clip(np.rint(levels), 0, 255), np.uint8), tuple((float(x), float(y)) for x, y in part)


def accepted(picture: Grey, decoders: tuple[Decoder, ...] = DECODERS) -> list[tuple[str, str | None]]:
    return [(each.number, each.add_on) for each in read(picture, decoders=decoders) if each.accepted]


@pytest.mark.parametrize(
    ("number", "add_on", "blur", "tilt", "angle"),
    [
        (ISSUE, "05", 0.7, 0, 3),
        (ISSUE, "38", 1.0, 0.04, 3),
        (BOOK, "51299", 0.8, 0, 3),
        (BOOK, "90000", 1.0, -0.05, -6),
        ("0071831007995", "19868", 1.0, 0, 183),
    ],
)
def test_it_reads_supplements_that_no_decoder_does(
    number: str, add_on: str, blur: float, tilt: float, angle: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    picture, _ = shown(drawn(f"{number[:12]}+{add_on}"), blur=blur, tilt=tilt, angle=angle)
    with monkeypatch.context() as without:
        without.setattr(supplements, "supplement_evidence", lambda grey, reading: None)
        assert accepted(picture) == [(number, None)]
    assert accepted(picture) == [(number, add_on)]


@pytest.mark.slow
def test_every_supplement_of_two_digits_is_read_from_sharp_pictures() -> None:
    for value in range(100):
        picture, corners = shown(drawn(f"{ISSUE[:12]}+{value:02d}", gap=7 + value % 6), blur=0.3)
        found = read_supplement(picture, corners, ISSUE)
        assert found is not None
        assert (found[0], found[1] < SURE) == (f"{value:02d}", True)


@pytest.mark.parametrize("gap", [7, 9, 12])
@pytest.mark.parametrize("add_on", ["00000", "51495", "02601", "19868", "99999", "12345", "67890", "05415"])
def test_supplements_of_five_digits_are_read_at_every_gap(add_on: str, gap: int) -> None:
    picture, corners = shown(drawn(f"{BOOK[:12]}+{add_on}", gap), blur=0.6, tilt=0.06)
    found = read_supplement(picture, corners, BOOK)
    assert found is not None
    assert (found[0], found[1] < SURE) == (add_on, True)


@pytest.mark.parametrize("blur", [1.2, 1.5, 1.8, 2.2])
@pytest.mark.parametrize("add_on", ["07", "53", "50995", "90000"])
def test_blurred_supplements_are_read_right_or_not_at_all(add_on: str, blur: float) -> None:
    picture, corners = shown(drawn(f"{BOOK[:12]}+{add_on}"), blur=blur, noise=4)
    found = read_supplement(picture, corners, BOOK)
    assert found is None or found[1] > SURE or found[0] == add_on


def beside(kind: str, seed: int) -> Grey:
    """Draw a symbol without a supplement, and something else right of it."""
    random = np.random.default_rng(seed)
    bitmap = drawn(BOOK)
    height = bitmap.shape[0]
    right = np.full((height, 70 * 8), 255, np.uint8)
    start = int(random.uniform(6, 13) * 8)
    if kind == "text":
        for y in range(60, height, 60):
            line = "".join(random.choice(list("MINOEHT l1i|W"), 14))
            cv2.putText(right, line, (start, y), int(random.integers(0, 4)), 2.0, 0, int(random.integers(2, 8)))
    elif kind == "bars":
        while start < right.shape[1]:
            bar, space = (int(each) * 8 for each in random.integers(1, 5, 2))
            right[:, start : start + bar] = 0
            start += bar + space
    elif kind == "symbol":
        other = drawn("4006381333931")
        right[:, start:] = other[:, : right.shape[1] - start]
    else:
        blocks = (random.integers(0, 2, (6, 30)) * 255).astype(np.uint8)
        right[:, start:] = cv2.resize(blocks, (right.shape[1] - start, height), interpolation=cv2.INTER_LINEAR)
    return np.ascontiguousarray(np.concatenate([bitmap, right], axis=1))


@pytest.mark.parametrize("kind", ["text", "bars", "symbol", "picture"])
def test_nothing_is_claimed_beside_a_symbol_without_a_supplement(kind: str) -> None:
    for seed in range(12):
        picture, corners = shown(beside(kind, seed), blur=0.3 + 0.12 * seed)
        assert read_supplement(picture, corners, BOOK) is None


def test_a_supplement_cut_off_by_the_frame_is_not_read() -> None:
    for add_on in ("51299", "00000", "04611", "38"):
        picture, corners = shown(drawn(f"{BOOK[:12]}+{add_on}"), blur=0.4, angle=0)
        right = round(max(x for x, _ in corners))
        end = right + round(MODULE_PX * (7 + (20 if len(add_on) == 2 else 47)))
        for cut in range(right + 10, end, 5):
            assert read_supplement(np.ascontiguousarray(picture[:, :cut]), corners, BOOK) is None
        assert read_supplement(picture, corners, BOOK) is not None


def test_a_wrong_number_tells_nothing_of_what_is_beside_it() -> None:
    picture, corners = shown(drawn(f"{BOOK[:12]}+51299"), blur=0.5)
    assert read_supplement(picture, corners, "9780140449136") is None


HERE = ((10.0, 10.0), (200.0, 10.0), (200.0, 120.0), (10.0, 120.0))


def reading(add_on: str | None = None) -> Reading:
    return Reading(BOOK, NumberKind.ISBN, accepted=True, score=0.99, methods=("zxing",), add_on=add_on, corners=HERE)


def told(text: str, error: float) -> list[SupplementEvidence]:
    return [SupplementEvidence(BOOK, HERE, text, error)]


def test_both_kinds_of_evidence_add_up_and_contradictions_are_left_open() -> None:
    assert with_supplement(reading(), {}, told("05", 1e-6)).add_on == "05"
    assert with_supplement(reading(), {}, told("05", 1e-3)).add_on is None
    assert with_supplement(reading(), {"05": 1}, told("05", 1e-3)).add_on == "05"
    assert with_supplement(reading("06"), {"06": 2}, told("05", 1e-6)).add_on is None
    assert with_supplement(reading("06"), {"06": 3}, told("05", 0.1)).add_on == "06"
    far = [SupplementEvidence("9780140449136", HERE, "05", 1e-9)]
    assert with_supplement(reading("06"), {"06": 2}, far).add_on == "06"
