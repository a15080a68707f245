"""The printed number where the bars give none: the order of work with lines as a reader gives them, and the real one.

Pages and jackets are drawn with a font that is not ours, text and publisher invented, so that the truth is known; they
are no photographs. The numbers are worked examples: 978-0-11-000222-4 and 978-92-95055-12-4 of the ISBN Users' Manual,
0-306-40615-2 and 3-16-148410-0 in both lengths.
"""

from collections.abc import Sequence
from functools import partial
from importlib import resources
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pytest
import zint
from PIL import Image, ImageDraw, ImageFont

from intake.edges import ocr
from intake.edges.store.library import Library
from intake.flow.lookup.resolve import find_box
from intake.flow.pictures.read_files import find_printed, numbers_in, read_file, read_picture
from intake.flow.unpacking.book_pictures import book_pictures
from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading, TextLine
from intake.reading.decoders import available
from intake.reading.printed_evidence import with_printed
from tests.flow.conftest import NOW, queued
from tests.reading.drawing import symbol
from tests.reading.hard import hard

Grey = npt.NDArray[np.uint8]
DECODERS = available()
BLANK: Grey = np.full((300, 400), 200, np.uint8)
LETTERS: Grey = np.array(BLANK)
cv2.putText(LETTERS, "no number", (60, 150), cv2.FONT_HERSHEY_SIMPLEX, 1.2, 40, 2)
FERNS = "9780306406157"
MODULE_PX = 4
BARS: tuple[Point, ...] = ((190.0, 90.0), (570.0, 90.0), (570.0, 330.0), (190.0, 330.0))
PAGE = (
    "First published in the autumn of 1971 by",
    "Invented Press, 12 Lower Town, Nowhere",
    "Telephone 0306 406152    Price 19.95",
    "No part of this book may be copied by hand.",
    "ISBN 0-306-40615-2 (cloth)",
    "ISBN 3-16-148410-X (set of two volumes)",
    "Set in twelve point and printed in 1000 copies",
    "10 9 8 7 6 5 4 3 2 1",
)

needs_ocr = pytest.mark.skipif(not ocr.is_installed(), reason="the part that reads text is not installed")


class Pretended:
    """A reader of text that knows what stands in the picture either way up, and counts how often it is asked."""

    def __init__(self, lines: Sequence[TextLine], backwards: Sequence[TextLine] = ()) -> None:
        self.lines, self.backwards = tuple(lines), tuple(backwards)
        self.asked: list[str] = []

    def read_page(self, grey: Grey) -> tuple[TextLine, ...]:
        self.asked.append("page")
        return self.lines

    def read_backwards(self, grey: Grey, lines: Sequence[TextLine]) -> tuple[TextLine, ...]:
        assert tuple(lines) == self.lines
        self.asked.append("backwards")
        return self.backwards


def pretend(
    monkeypatch: pytest.MonkeyPatch, lines: Sequence[TextLine], backwards: Sequence[TextLine] = ()
) -> Pretended:
    reader = Pretended(lines, backwards)
    monkeypatch.setattr(ocr, "is_installed", lambda: True)
    monkeypatch.setattr(ocr, "read_page", reader.read_page)
    monkeypatch.setattr(ocr, "read_backwards", reader.read_backwards)
    return reader


def line(text: str, *, tall: bool = False, score: float = 1.0) -> TextLine:
    return TextLine(text, (50, 50, 62, 250) if tall else (50, 50, 250, 62), score)


def bars(number: str) -> Grey:
    picture: Grey = np.full((480, 760), 230, np.uint8)
    row = symbol(zint.Symbology.EANX, number, scale=MODULE_PX)[:8]
    picture[90:330, 190:570] = cv2.resize(row, (95 * MODULE_PX, 240), interpolation=cv2.INTER_NEAREST)
    return picture


def test_without_the_part_all_is_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ocr, "is_installed", lambda: False)
    assert read_picture(BLANK, DECODERS) == ()


def test_text_is_not_looked_at_where_the_bars_are_enough_or_nobody_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    reader = pretend(monkeypatch, [line("ISBN 978-0-11-000222-4")])
    (reading,) = read_picture(bars(FERNS), DECODERS)
    assert (reading.number, reading.accepted) == (FERNS, True)
    assert read_picture(LETTERS, DECODERS, printed=False) == ()
    assert reader.asked == []
    (page,) = read_picture(LETTERS, DECODERS)
    assert (page.number, page.accepted, page.methods) == ("9780110002224", False, ("print",))


def test_text_is_not_looked_at_where_there_is_nothing_like_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    reader = pretend(monkeypatch, [line("ISBN 978-0-11-000222-4")])
    assert read_picture(BLANK, DECODERS) == ()
    assert reader.asked == []


@pytest.mark.parametrize("tall", [False, True])
@pytest.mark.parametrize("upright", [False, True])
def test_a_page_that_cannot_be_read_is_read_backwards(
    monkeypatch: pytest.MonkeyPatch, tall: bool, upright: bool
) -> None:
    wrong, right = line("Z-51907-90E-0 N8SI", tall=tall, score=0.6), line("ISBN 0-306-40615-2", tall=tall)
    reader = pretend(monkeypatch, [right if upright else wrong], [right])
    (page,) = read_picture(LETTERS, DECODERS)
    assert page.number == FERNS
    assert reader.asked == ["page"] if upright else ["page", "backwards"]


@pytest.mark.parametrize("lines", [[], [line("A title that is read well")]])
def test_a_picture_without_text_or_with_plain_text_is_looked_at_once(
    monkeypatch: pytest.MonkeyPatch, lines: list[TextLine]
) -> None:
    reader = pretend(monkeypatch, lines)
    assert read_picture(LETTERS, DECODERS) == ()
    assert reader.asked == ["page"]


def test_an_own_label_has_no_digits_to_look_for(monkeypatch: pytest.MonkeyPatch) -> None:
    reader = pretend(monkeypatch, [])
    label = Reading("A127-89", NumberKind.OWN, accepted=False, score=0.5, methods=("zxing",), corners=BARS)
    assert find_printed(LETTERS, (label,)) == []
    assert reader.asked == ["page"]


def test_a_printed_number_waits_for_a_person(monkeypatch: pytest.MonkeyPatch, arrived: Library, tmp_path: Path) -> None:
    pretend(monkeypatch, [line("ISBN 0-306-40615-2")])
    path = tmp_path / "page.png"
    cv2.imwrite(str(path), LETTERS)
    with arrived.reading() as records:
        box = find_box(records, "1").number
    results = book_pictures(arrived, box, [path], decoders=DECODERS, workers=1, station="test", now=lambda: NOW)
    ((_, (outcome,)),) = results
    assert queued(outcome).query.number == FERNS
    assert queued(outcome).identification.candidates[0].edition is not None
    assert read_file(path, DECODERS).result.readings == ()


def font(name: str, size: int) -> ImageFont.FreeTypeFont:
    file = resources.files("weblate_fonts").joinpath("static", "weblate_fonts", *name.split("/"))
    with resources.as_file(file) as path:
        return ImageFont.truetype(str(path), size)


def developed(picture: Grey, *, angle: float = 0.0, blur_px: float = 0.9, noise: float = 6.0) -> Grey:
    """Turn, blur and add noise, the same each time."""
    height, width = picture.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), angle, 1.0)
    turned = cv2.warpAffine(picture, turn, (width, height), borderMode=cv2.BORDER_REPLICATE).astype(np.float32)
    soft = cv2.GaussianBlur(turned, (0, 0), blur_px) + np.random.default_rng(3).normal(0, noise, picture.shape)
    return np.asarray(np.clip(soft, 0, 255), np.uint8)


def copyright_page(angle: float, quarters: int = 0) -> Grey:
    page = Image.new("L", (1100, 760), 225)
    draw = ImageDraw.Draw(page)
    for nth, text in enumerate(PAGE):
        draw.text((120, 90 + 70 * nth), text, font=font("source-sans/ttf/SourceSans3-Regular.ttf", 34), fill=50)
    return np.ascontiguousarray(np.rot90(developed(np.asarray(page), angle=angle), quarters))


def jacket(number: str, *, blur_modules: float = 0.0, covered: float = 0.0) -> Grey:
    """Draw a symbol with its digits below; the bars may be blurred, or covered from the left for a share of them."""
    layer = bars(number)
    if blur_modules:
        layer = np.asarray(cv2.GaussianBlur(layer, (0, 0), blur_modules * MODULE_PX), np.uint8)
    layer[80:332, 180 : 180 + round(covered * 400)] = 170
    picture = Image.fromarray(layer)
    write = partial(ImageDraw.Draw(picture).text, font=font("source-code/ttf/SourceCodePro-Regular.ttf", 44), fill=45)
    for x, digits in ((156, number[0]), (206, number[1:7]), (390, number[7:])):
        write((x, 332), digits)
    return developed(np.asarray(picture), noise=4.0)


@needs_ocr
@pytest.mark.slow
@pytest.mark.parametrize(("angle", "quarters"), [(0.0, 0), (3.0, 0), (-4.0, 0), (2.0, 1), (0.0, 2), (-2.0, 3)])
def test_a_copyright_page_gives_its_numbers_to_choose_from(angle: float, quarters: int) -> None:
    (reading,) = read_picture(copyright_page(angle, quarters), DECODERS)
    assert reading.candidates == (FERNS, "9783161484100")
    assert reading.beside == ("cloth", "set of two volumes")
    assert not reading.accepted


@needs_ocr
@pytest.mark.slow
@pytest.mark.parametrize("number", [FERNS, "9780110002224", "9789295055124"])
def test_digits_are_read_where_half_of_the_bars_is_covered(number: str) -> None:
    (reading,) = read_picture(jacket(number, covered=0.5), DECODERS)
    assert (reading.number, reading.accepted, reading.methods) == (number, False, ("print",))


@needs_ocr
@pytest.mark.slow
@pytest.mark.parametrize("seed", [9012, 9027, 9043])
def test_small_digits_are_read_about_bars_of_which_glare_hides_a_part(seed: int) -> None:
    # In the picture as a whole they are too small to be read.
    picture = hard("glare", seed)
    assert numbers_in(picture.grey) == ()
    (reading,) = read_picture(picture.grey, DECODERS)
    assert (reading.number, reading.accepted, reading.methods) == (picture.printed.number, False, ("print",))


@needs_ocr
@pytest.mark.slow
@pytest.mark.parametrize("upside_down", [False, True])
def test_digits_below_blurred_bars_decide_a_doubtful_reading(upside_down: bool) -> None:
    picture = jacket(FERNS, blur_modules=2.5)
    corners = BARS
    if upside_down:
        picture = np.ascontiguousarray(picture[::-1, ::-1])
        corners = tuple((760 - x, 480 - y) for x, y in BARS)
    # As the grey profile gives it: an error of one in two hundred, which is doubtful alone.
    doubtful = Reading(FERNS, NumberKind.ISBN, accepted=False, score=0.88, methods=("grey",), corners=corners)
    printed = find_printed(picture, (doubtful,))
    assert [(each.number, each.repaired) for each in printed] == [(FERNS, False)]
    (decided,) = with_printed((doubtful,), printed)
    assert (decided.accepted, decided.methods) == (True, ("grey", "print"))
    other = Reading("9780306406188", NumberKind.ISBN, accepted=False, score=0.88, methods=("grey",), corners=corners)
    (asked,) = with_printed((other,), printed)
    assert (asked.accepted, set(asked.candidates)) == (False, {FERNS, "9780306406188"})


@needs_ocr
@pytest.mark.slow
def test_a_page_without_a_number_gives_none() -> None:
    page = Image.new("L", (1100, 500), 225)
    for nth, text in enumerate(PAGE[:4]):
        ImageDraw.Draw(page).text((120, 90 + 70 * nth), text, font=font("source-sans/ttf/SourceSans3-Regular.ttf", 34))
    assert read_picture(np.asarray(page), DECODERS) == ()
