"""EAN-8 read from grey levels, against an independent encoder (zint), and what must not be taken for one."""

import cv2
import numpy as np
import pytest
import zint

from intake.reading.calibration import judge
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder, available
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import profile
from intake.reading.locate import locate
from intake.reading.read import read
from intake.reading.symbol_forms import check_digit
from intake.reading.symbologies import EAN8, EAN13, SHORT
from tests.reading.drawing import Grey, Shot, photograph, symbol

DECODERS: tuple[Decoder, ...] = available()
WORKED = "0000096385074"
"""The worked example of the GS1 General Specifications, 7.9 (GTIN-8 96385074), written out."""


def defocused(bitmap: Grey, *, blur: float, module_px: float = 2.0, angle: float = 4, noise: float = 2) -> Grey:
    """Photograph a bitmap out of focus, as `tests.reading.test_grey_level` does; blur in modules."""
    shot = Shot(size=(320, 240), module_px=module_px, angle=angle, blur_px=0, noise=0, ground=90)
    sharp, _ = photograph(bitmap, shot)
    light = cv2.GaussianBlur((sharp.astype(np.float32) / 255) ** 2.2, (0, 0), blur * module_px)
    levels = 255 * light ** (1 / 2.2) + np.random.default_rng(7).normal(0, noise, light.shape)
    return np.asarray(np.clip(np.rint(levels), 0, 255), np.uint8)


def short(number: str, blur: float, angle: float = 4) -> Grey:
    return defocused(symbol(zint.Symbology.EANX, number[5:12]), blur=blur, angle=angle)


def others(count: int) -> list[str]:
    data = ["978" + "".join(map(str, row)) for row in np.random.default_rng(3).integers(0, 10, (count, 9))]
    return [each + check_digit(each) for each in data]


@pytest.mark.parametrize(("blur", "angle"), [(0.8, 4), (1.0, 4), (1.0, 184)])
def test_it_reads_short_symbols_that_no_decoder_does(blur: float, angle: float) -> None:
    picture = short(WORKED, blur, angle)
    assert not any(decoder.decode(picture) for decoder in DECODERS)
    found = read(picture, decoders=DECODERS)
    assert [(each.number, each.accepted) for each in found] == [(WORKED, True)]
    (left, _), (right, _) = found[0].corners[:2]
    assert (right > left) == (angle < 90)


def test_the_code_book_draws_short_numbers_short() -> None:
    book = CodeBook.of([*others(200), WORKED], expected=[WORKED])
    assert len(book) == 201
    assert WORKED in book
    assert book.pages[EAN8.name].numbers == (WORKED,)
    assert book.pages[EAN8.name].modules.shape == (1, EAN8.modules)
    assert book.pages[EAN8.name].expected.all()
    assert book.pages[EAN13.name].modules.shape == (200, EAN13.modules)
    (reading,) = read(short(WORKED, 1.1), decoders=DECODERS, known=book)
    assert (reading.number, reading.accepted) == (WORKED, True)
    assert "book" in reading.methods


def test_a_long_symbol_is_not_read_as_short() -> None:
    for number in others(4):
        picture = defocused(symbol(zint.Symbology.EANX, number[:12]), blur=1.0, module_px=1.8)
        pooled = profile(picture, locate(picture, faint=True)[0].corners)
        assert pooled is not None
        judgement = judge(rank_candidates(pooled, EAN8), None)
        assert judgement is None or judgement.error == 1.0


def covered(number: str, side: str, tone: int) -> Grey:
    """Draw a long symbol with a part covered, as by a thumb or a sticker."""
    bitmap = symbol(zint.Symbology.EANX, number[:12]).copy()
    width = bitmap.shape[1]
    part = {"left": np.s_[: width // 3], "right": np.s_[-width // 3 :], "middle": np.s_[width // 3 : width // 2]}[side]
    bitmap[:, part] = tone
    return bitmap


@pytest.mark.slow
@pytest.mark.parametrize("blur", [0.5, 0.9, 1.3])
@pytest.mark.parametrize("side", ["left", "right", "middle"])
@pytest.mark.parametrize("tone", [255, 120])
def test_nothing_short_is_read_out_of_a_long_symbol_partly_covered(side: str, blur: float, tone: int) -> None:
    for number in others(2):
        found = read(defocused(covered(number, side, tone), blur=blur), decoders=DECODERS)
        assert [each.number for each in found if each.accepted and each.number.startswith(SHORT)] == []


OTHERS = {
    "UPC-E": (zint.Symbology.UPCE, "0345675"),
    "Code 128": (zint.Symbology.CODE128, "AB12CD"),
    "interleaved 2 of 5": (zint.Symbology.C25INTER, "1234567890"),
    "Code 39": (zint.Symbology.CODE39, "1234"),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", OTHERS)
def test_other_symbols_are_not_taken_for_short_ones(name: str) -> None:
    for blur in (0.4, 0.7, 1.0, 1.3):
        found = read(defocused(symbol(*OTHERS[name]), blur=blur), decoders=DECODERS)
        assert [each.number for each in found if each.accepted and each.number.startswith(SHORT)] == []


@pytest.mark.parametrize(("blur", "angle"), [(0.8, 4), (0.9, 184)])
def test_it_reads_a_upc_e_that_no_decoder_does(blur: float, angle: float) -> None:
    picture = defocused(symbol(zint.Symbology.UPCE, "0123456"), blur=blur, module_px=2.2, angle=angle)
    assert not any(decoder.decode(picture) for decoder in DECODERS)
    # 01234565 is a worked example of the UPC standard: 012345000065 suppressed.
    assert [(each.number, each.accepted) for each in read(picture, decoders=DECODERS)] == [("0012345000065", True)]
