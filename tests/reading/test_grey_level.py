"""The grey-level reader and the code book, against symbols of an independent encoder (zint), blurred by arithmetic.

Blur is given in modules: from about one on, general decoders read nothing.
"""

import cv2
import numpy as np
import numpy.typing as npt
import pytest
import zint
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.calibration import judge
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder, available
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import profile
from intake.reading.likelihood import likeliest_digits, profile_moments
from intake.reading.locate import locate
from intake.reading.profile_fit import SampleGrid, fit_symbols
from intake.reading.read import read
from intake.reading.symbol_forms import check_digit
from intake.reading.symbologies import EAN8, EAN13, ean13_bits
from tests.benchmarks.calibrate import picture
from tests.drawn_examples import examples
from tests.reading.drawing import Grey, Shot, photograph, symbol

DECODERS: tuple[Decoder, ...] = available()
BOOK = "9780306406157"


def others(count: int, seed: int = 1) -> list[str]:
    """Draw numbers that a catalog may hold."""
    random = np.random.default_rng(seed)
    data = ["978" + "".join(str(digit) for digit in row) for row in random.integers(0, 10, (count, 9))]
    return [each + check_digit(each) for each in data]


def neighbours(number: str) -> list[str]:
    """Return the numbers of the same publisher that differ in one or two of the last digits."""
    data = [f"{number[:9]}{serial:03d}" for serial in range(1000)]
    return [each + check_digit(each) for each in data if each != number[:12]]


def defocused(number: str, *, blur: float, module_px: float = 1.8, angle: float = 4, noise: float = 2) -> Grey:
    """Photograph a symbol out of focus: light is blurred, then bent to grey levels as sRGB does."""
    shot = Shot(size=(320, 240), module_px=module_px, angle=angle, blur_px=0, noise=0, ground=90)
    sharp, _ = photograph(symbol(zint.Symbology.EANX, number[:12]), shot)
    light = cv2.GaussianBlur((sharp.astype(np.float32) / 255) ** 2.2, (0, 0), blur * module_px)
    levels = 255 * light ** (1 / 2.2) + np.random.default_rng(7).normal(0, noise, light.shape)
    return np.asarray(np.clip(np.rint(levels), 0, 255), np.uint8)


@pytest.mark.parametrize("number", [BOOK, "0036000291452", "4006381333931", "9771234567003"])
def test_templates_are_those_of_an_independent_encoder(number: str) -> None:
    drawn = symbol(zint.Symbology.EANX, number[:12], scale=2)
    modules = (drawn[drawn.shape[0] // 3, 1::2] < 128).astype(int)
    assert modules.tolist() == ean13_bits([number])[0].tolist()


def test_short_templates_are_those_of_an_independent_encoder() -> None:
    drawn = symbol(zint.Symbology.EANX, "9638507", scale=2)
    digits = np.array([[9, 6, 3, 8, 5, 0, 7, 4]], np.uint8)
    modules = (drawn[drawn.shape[0] // 3, 1::2] < 128).astype(int)
    assert modules.tolist() == EAN8.bits(digits, np.zeros(1, np.intp))[0].tolist()


def test_likeliest_digits_are_those_of_the_least_misfit_by_brute_force() -> None:
    grid = SampleGrid(EAN13)
    bits = ean13_bits([BOOK])
    pose = np.array([[40.0, 5.0, 0.4, 0, 0, 1.3]])
    x = np.arange(580)
    values = np.interp(
        x, grid.sample(x.astype(np.float32), x.astype(np.float32), pose)[0][0], grid.ink(bits, pose[:, 5])[0][0]
    )
    values = (values * 80 + np.random.default_rng(2).normal(0, 1, len(x))).astype(np.float32)
    seen = profile_moments(values, grid, fit_symbols(values, grid, bits, pose, rounds=2).row(0))
    digits, rows, misfits = likeliest_digits(seen, EAN13, most=20, beam=500)
    assert "".join(map(str, [rows[0], *digits[0]])) == BOOK
    # The terms kept are exact for all but digits two slots apart, which blur does not bring together.
    assert misfits == pytest.approx(seen.misfits(EAN13.bits(digits, rows)), abs=0.05)
    assert EAN13.valid(digits.astype(np.intp), rows).all()
    rivals = [*others(500), *neighbours(BOOK)]
    assert seen.misfits(ean13_bits(rivals)).min() > misfits[0]


@pytest.mark.parametrize("blur", [0.8, 1.2])
def test_without_a_catalog_it_reads_what_no_decoder_does(blur: float) -> None:
    picture = defocused(BOOK, blur=blur)
    if blur > 1:
        assert not any(decoder.decode(picture) for decoder in DECODERS)
    (reading,) = read(picture, decoders=DECODERS)
    assert (reading.number, reading.accepted) == (BOOK, True)


def test_a_catalog_helps_where_the_bars_have_run_together() -> None:
    picture = defocused(BOOK, blur=1.5, noise=3)
    (reading,) = read(picture, decoders=DECODERS, known=CodeBook.of([*others(2000), BOOK]))
    assert (reading.number, reading.accepted) == (BOOK, True)
    assert {"grey", "book"} <= set(reading.methods)
    assert reading.candidates[0] == BOOK


@pytest.mark.parametrize("angle", [180, 184, 8])
def test_upside_down_symbols_are_read_and_told_so(angle: float) -> None:
    picture = defocused(BOOK, blur=1.1, angle=angle)
    (reading,) = read(picture, decoders=DECODERS)
    assert (reading.number, reading.accepted) == (BOOK, True)
    left, right = reading.corners[0], reading.corners[1]
    assert (right[0] > left[0]) == (angle < 90)


@pytest.mark.slow
@pytest.mark.parametrize("blur", [0.9, 1.2, 1.5, 1.8])
def test_the_book_does_not_pull_an_absent_number_to_a_neighbour(blur: float) -> None:
    book = CodeBook.of([*others(2000), *neighbours(BOOK)], expected=neighbours(BOOK)[:40])
    assert BOOK not in book
    found = read(defocused(BOOK, blur=blur), decoders=DECODERS, known=book)
    assert [reading.number for reading in found if reading.accepted] in ([], [BOOK])


def test_an_expected_number_is_found_first_among_equals() -> None:
    book = CodeBook.of(others(50), expected=[BOOK])
    assert BOOK in book
    assert book.awaited == {BOOK}
    assert CodeBook.of(["no number", "9780306406158"]).numbers == ()


def test_misfits_are_turned_into_chances_by_the_stated_rule() -> None:
    pooled = profile(defocused(BOOK, blur=1.0), locate(defocused(BOOK, blur=1.0), faint=True)[0].corners)
    assert pooled is not None
    found = rank_candidates(pooled)
    judgement = judge(found, None)
    assert judgement is not None
    assert judgement.candidates[0].number == BOOK
    assert judgement.error < 1e-5
    assert judge([], None) is None


@pytest.mark.parametrize("seed", [301351, 301542, 302741, 304236, 305109])
def test_no_wrong_number_wins_because_the_printed_one_was_never_fitted(seed: int) -> None:
    # Of 6,928 pictures drawn with zint, those of which a wrong number was accepted while likely rows of digits were
    # dropped for their beginnings.
    grey, number, *_ = picture(seed)
    (reading,) = read(grey, decoders=DECODERS)
    assert not reading.accepted or reading.number == number
    # Where the number printed fits best by far it is found, and not only the wrong one doubted.
    assert reading.accepted == (seed in {301542, 305109})


def fence(size: int = 240, period: float = 7.3) -> Grey:
    """Draw a fence: bars of one width."""
    wave = 128 + 90 * np.sin(np.arange(size) * 2 * np.pi / period)
    return np.asarray(np.tile(wave, (size, 1)), np.uint8)


def half_covered(side: str) -> Grey:
    """Cover half of a symbol, as a thumb or a price sticker does."""
    picture = defocused(BOOK, blur=0.9)
    picture[:, slice(0, 150) if side == "left" else slice(170, 320)] = 170
    return picture


def moire() -> Grey:
    """Draw two gratings over one another."""
    y, x = np.mgrid[:240, :320]
    return np.asarray(128 + 60 * np.sin(x / 1.9 + y / 40) * np.sin(x / 2.1), np.uint8)


NOTHING = {
    "black": np.zeros((240, 320), np.uint8),
    "white": np.full((240, 320), 255, np.uint8),
    "one pixel high": np.tile(np.arange(200, dtype=np.uint8), (1, 1)),
    "one pixel": np.zeros((1, 1), np.uint8),
    "noise": np.random.default_rng(1).integers(0, 256, (240, 320)).astype(np.uint8),
    "fence": fence(),
    "moire": moire(),
    "thumb on the left": half_covered("left"),
    "thumb on the right": half_covered("right"),
}


@pytest.mark.parametrize("name", NOTHING)
def test_nothing_is_accepted_where_there_is_no_whole_symbol(name: str) -> None:
    for known in (None, CodeBook.of([*others(500), BOOK])):
        found = read(NOTHING[name], decoders=DECODERS, known=known)
        assert [each.number for each in found if each.accepted] == []


def test_inverted_and_mirrored_symbols_are_never_taken_for_others() -> None:
    known = CodeBook.of([*others(500), BOOK])
    picture = defocused(BOOK, blur=1.1)
    for shown in (np.asarray(255 - picture), np.ascontiguousarray(picture[:, ::-1])):
        assert {each.number for each in read(shown, decoders=DECODERS, known=known) if each.accepted} <= {BOOK}


def test_two_books_in_one_picture_are_two_readings() -> None:
    second = others(1)[0]
    both = np.concatenate([defocused(BOOK, blur=0.3), defocused(second, blur=0.3)])
    assert {each.number for each in read(both, decoders=DECODERS) if each.accepted} == {BOOK, second}


@given(
    st.integers(1, 90),
    st.integers(1, 90),
    st.integers(0, 2**32 - 1),
    st.sampled_from(["noise", "bars", "steps"]),
)
@settings(max_examples=examples(25), deadline=None)
def test_made_pictures_never_crash_it_and_nothing_is_accepted(height: int, width: int, seed: int, kind: str) -> None:
    random = np.random.default_rng(seed)
    shape = (height, width)
    rows: dict[str, npt.NDArray[np.uint8]] = {
        "noise": random.integers(0, 256, shape).astype(np.uint8),
        "bars": np.tile(random.integers(0, 256, (1, width)).astype(np.uint8), (height, 1)),
        "steps": (np.cumsum(random.integers(0, 9, shape), axis=1) % 256).astype(np.uint8),
    }
    picture = np.ascontiguousarray(np.kron(rows[kind], np.ones((3, 3), np.uint8)))
    assert not any(each.accepted for each in read(picture, decoders=DECODERS, known=CodeBook.of(others(100))))
