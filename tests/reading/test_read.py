"""Symbols drawn by zint, photographed by arithmetic, and read back; and bars drawn from the published modules."""

import math

import cv2
import numpy as np
import pytest
import zint
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.model.identifiers import NumberKind, OwnKind, own_number
from intake.model.readings import Reading
from intake.reading.decoders import available
from intake.reading.read import read
from tests.drawn_examples import examples
from tests.reading.drawing import Grey, Shot, from_modules, photograph, symbol

BOTH = available()
ALONE = BOTH[:1]
COPY = own_number(OwnKind.COPY, 127)
BOX = own_number(OwnKind.BOX, 5)

# What zint is given, without the check digit, and what the symbol says.
DRAWN = {
    "book": (zint.Symbology.EANX, "978030640615", "9780306406157", NumberKind.ISBN),
    "music": (zint.Symbology.EANX, "979026000043", "9790260000438", NumberKind.ISMN),
    "serial": (zint.Symbology.EANX, "977031784700", "9770317847001", NumberKind.ISSN),
    "upc-a": (zint.Symbology.UPCA, "06141411234", "0061414112345", NumberKind.GTIN),
    "ean-8": (zint.Symbology.EANX, "9638507", "0000096385074", NumberKind.GTIN),
    "upc-e": (zint.Symbology.UPCE, "0123456", "0012345000065", NumberKind.GTIN),
    "own, code 128": (zint.Symbology.CODE128, COPY, COPY, NumberKind.OWN),
    "own, qr": (zint.Symbology.QRCODE, BOX, BOX, NumberKind.OWN),
}


def the_one(readings: tuple[Reading, ...]) -> Reading:
    assert len(readings) == 1, readings
    return readings[0]


def worst_corner(reading: Reading, corners: np.ndarray) -> float:
    """The farthest of the four corners from where it was drawn, as a share of the symbol's width."""
    return max(math.dist(a, b) for a, b in zip(reading.corners, corners, strict=True)) / math.dist(*corners[:2])


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("angle", [0, 33, 45, 90, 150, 180, 270, 312])
def test_each_symbol_at_any_angle(name: str, angle: int) -> None:
    symbology, text, number, kind = DRAWN[name]
    picture, corners = photograph(symbol(symbology, text), Shot(angle=angle))
    reading = the_one(read(picture, decoders=BOTH))
    assert (reading.number, reading.kind, reading.accepted, reading.add_on) == (number, kind, True, None)
    # The outer guard bars hang lower than the rest by five modules: a tenth of the width of a UPC-E.
    assert worst_corner(reading, corners) < 0.2


SHOTS = {
    "small": Shot(module_px=2.0, blur_px=0.4),
    "large": Shot(module_px=5.0, size=(800, 600)),
    "blurred": Shot(module_px=4.0, blur_px=2.0),
    "noisy": Shot(noise=12.0),
    "tilted": Shot(tilt=0.08, angle=12),
    "dark": Shot(ink=12, paper=48, ground=30),
    "pale": Shot(ink=150, paper=200, ground=180, noise=2.0),
}


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("shot", SHOTS)
def test_each_symbol_in_poor_light(name: str, shot: str) -> None:
    symbology, text, number, _ = DRAWN[name]
    readings = read(photograph(symbol(symbology, text), SHOTS[shot])[0], decoders=BOTH)
    assert [reading.number for reading in readings if reading.accepted] == [number]


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("angle", [0, 45, 100])
def test_one_decoder_alone_is_enough(name: str, angle: int) -> None:
    symbology, text, number, _ = DRAWN[name]
    reading = the_one(read(photograph(symbol(symbology, text), Shot(angle=angle))[0], decoders=ALONE))
    assert (reading.number, reading.accepted) == (number, True)


# The 95 modules of three EAN-13 and the modules of their supplements, worked out from the number sets and parity tables
# of ISO/IEC 15420 and the GS1 General Specifications, 5.2.1 to 5.2.2.
MODULES = {
    "9780110002224": "10101110110001001010011100110010110011000110101010111001011100101101100110110011011001011100101",
    "9783161484100": "10101110110001001010000100110010000101001100101010101110010010001011100110011011100101110010101",
    "4006381333931": "10100011010100111010111101111010001001011001101010100001010000101000010111010010000101100110101",
}
SUPPLEMENTS = {
    "51299": "10110110001010110011010010011010001011010010111",
    "90000": "10110001011010100111010001101010100111010001101",
    "34": "10110100001010100011",
}


@pytest.mark.parametrize("number", MODULES)
@pytest.mark.parametrize("add_on", [None, *SUPPLEMENTS])
def test_published_modules_are_read(number: str, add_on: str | None) -> None:
    assert len(MODULES[number]) == 95
    modules = MODULES[number] + ("0" * 9 + SUPPLEMENTS[add_on] if add_on else "")
    picture, _ = photograph(from_modules(modules), Shot(size=(720, 480), angle=4))
    reading = the_one(read(picture, decoders=BOTH))
    assert (reading.number, reading.accepted, reading.add_on) == (number, True, add_on)


@pytest.mark.parametrize(("text", "add_on"), [("978030640615+51299", "51299"), ("977031784700+34", "34")])
@pytest.mark.parametrize("angle", [0, 90, 180, 200])
def test_a_supplement_is_read_with_its_symbol(text: str, add_on: str, angle: int) -> None:
    picture, _ = photograph(symbol(zint.Symbology.EANX, text), Shot(size=(720, 720), angle=angle))
    reading = the_one(read(picture, decoders=BOTH))
    assert (reading.accepted, reading.add_on) == (True, add_on)


@pytest.mark.parametrize("angle", range(0, 180, 10))
@pytest.mark.parametrize("text", ["978030640615+51299", "977031784700+34"])
def test_a_supplement_is_right_or_unsaid(text: str, angle: int) -> None:
    picture, _ = photograph(symbol(zint.Symbology.EANX, text), Shot(size=(720, 720), angle=angle, blur_px=1.4))
    for reading in read(picture, decoders=BOTH):
        if reading.accepted:
            assert reading.number == {"978": "9780306406157", "977": "9770317847001"}[text[:3]]
            assert reading.add_on in (None, text.partition("+")[2])


def two(first: Grey, second: Grey, at: tuple[float, float]) -> Grey:
    one, _ = photograph(first, Shot(size=(900, 700), centre=(230, 180), module_px=2.6, noise=0))
    both, _ = photograph(second, Shot(size=(900, 700), centre=at, module_px=2.6, angle=20), onto=one)
    return both


def test_two_books_are_two_readings() -> None:
    book = symbol(zint.Symbology.EANX, "978030640615")
    other = symbol(zint.Symbology.EANX, "978011000222")
    picture = two(book, other, (640, 480))
    assert sorted(r.number for r in read(picture, decoders=BOTH) if r.accepted) == ["9780110002224", "9780306406157"]


def test_two_copies_of_one_edition_are_two_readings() -> None:
    book = symbol(zint.Symbology.EANX, "978030640615")
    readings = read(two(book, book, (640, 480)), decoders=BOTH)
    assert [(r.number, r.accepted) for r in readings] == 2 * [("9780306406157", True)]
    assert math.dist(readings[0].corners[0], readings[1].corners[0]) > 300


def test_a_book_and_its_label_are_read_together() -> None:
    label = symbol(zint.Symbology.CODE128, COPY)
    picture = two(symbol(zint.Symbology.EANX, "978030640615"), label, (640, 480))
    assert sorted(r.number for r in read(picture, decoders=BOTH) if r.accepted) == ["9780306406157", COPY]


@pytest.mark.parametrize("text", ["https://example.org/", "A127-43", "a127-89", "9780306406157 "])
def test_other_texts_in_labels_are_left_alone(text: str) -> None:
    for symbology in (zint.Symbology.QRCODE, zint.Symbology.CODE128):
        assert read(photograph(symbol(symbology, text), Shot())[0], decoders=BOTH) == ()


def test_a_long_symbol_is_not_taken_for_the_short_one_in_its_left_half() -> None:
    # 9780306406157 cut off behind its middle guard bars is, module for module, a UPC-E.
    bitmap = symbol(zint.Symbology.EANX, "978030640615")
    for angle in range(15, 180, 30):
        readings = read(photograph(bitmap, Shot(angle=angle))[0], decoders=ALONE)
        assert [r.number for r in readings if r.accepted] == ["9780306406157"]


def test_halves_of_two_books_side_by_side_make_no_third() -> None:
    one, other = symbol(zint.Symbology.EANX, "978030640615"), symbol(zint.Symbology.EANX, "978011000222")
    half = one.shape[1] // 2
    picture, _ = photograph(np.ascontiguousarray(np.hstack([one[:, half:], other[:, :half]])), Shot())
    assert not [r for r in read(picture, decoders=BOTH) if r.accepted]


def test_a_twelve_megapixel_photograph() -> None:
    picture, _ = photograph(symbol(zint.Symbology.EANX, "978030640615"), Shot(size=(1000, 750), module_px=2.5, angle=8))
    large = np.full((3000, 4000), 150, np.uint8)
    large[1200:1950, 2100:3100] = picture
    reading = the_one(read(large, decoders=BOTH))
    assert (reading.number, reading.accepted) == ("9780306406157", True)
    assert all(2100 < x < 3100 and 1200 < y < 1950 for x, y in reading.corners)


def test_light_bars_on_a_dark_cover() -> None:
    picture, _ = photograph(symbol(zint.Symbology.EANX, "978030640615"), Shot(ink=215, paper=35, ground=35))
    reading = the_one(read(picture, decoders=BOTH))
    assert (reading.number, reading.accepted) == ("9780306406157", True)


@settings(max_examples=examples(60), deadline=None)
@given(
    height=st.integers(1, 120),
    width=st.integers(1, 160),
    seed=st.integers(0, 2**32 - 1),
    kind=st.sampled_from(["noise", "stripes", "black", "white", "steps"]),
)
def test_no_picture_makes_it_fail_or_invent_a_book(height: int, width: int, seed: int, kind: str) -> None:
    random = np.random.default_rng(seed)
    row = np.repeat(random.integers(0, 2, width, np.uint8) * 255, random.integers(1, 5))[:width]
    picture = {
        "noise": random.integers(0, 256, (height, width), np.uint8),
        "stripes": np.tile(row, (height, 1)),
        "black": np.zeros((height, width), np.uint8),
        "white": np.full((height, width), 255, np.uint8),
        "steps": np.add.outer(np.arange(height), np.arange(width)).astype(np.uint8),
    }[kind]
    assert not [reading for reading in read(picture, decoders=BOTH) if reading.accepted]


@pytest.mark.parametrize("period", [2, 3, 4, 6, 9, 14])
def test_fences_blinds_and_cloth_are_no_books(period: int) -> None:
    x = np.arange(640)
    stripes = np.tile(((x // period) % 2 * 255).astype(np.uint8), (480, 1))
    cloth = cv2.GaussianBlur(stripes // 2 + stripes[:, :480].T.repeat(2, axis=1)[:480, :640] // 2, (0, 0), 1.0)
    for picture in (stripes, np.asarray(cloth, np.uint8)):
        assert not [reading for reading in read(picture, decoders=BOTH) if reading.accepted]
