"""Every symbol of every template, printed by a cheap printer and photographed, is read by two independent decoders."""

import pytest
import zxingcpp

from intake.documents import labels, symbol_drawing
from intake.documents.grid import slots
from intake.documents.symbol_drawing import SymbolFrame
from intake.edges import fonts
from intake.model.label_rules import LEAST_MODULE_MM
from intake.model.pages import Page
from intake.model.papers import LabelTemplate, SymbolKind
from tests.cheap_printer import DOTS_PER_INCH, Part, dots, photograph
from tests.documents.test_labels import WITH_SYMBOL, content

TILTS_DEG = (0.0, 2.0, -4.0)
NAMES = {SymbolKind.QR: "QRCODE", SymbolKind.CODE128: "CODE128", SymbolKind.EAN13: "EAN13"}


@pytest.mark.slow
@pytest.mark.parametrize("dpi", DOTS_PER_INCH)
@pytest.mark.parametrize("template", WITH_SYMBOL, ids=lambda t: f"{t.name}-{t.use}")
def test_two_decoders_read_every_symbol_after_a_cheap_printer(template: LabelTemplate, dpi: int) -> None:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", reason="ZBar's shared library is not installed", exc_type=ImportError)
    count = template.columns * template.rows
    contents = [content(template, 7 + 391 * n) for n in range(count)]
    (page, *_) = dots(labels.lay_out(template, contents, measure=fonts.measure), dpi)
    places = list(zip(slots(template), contents, strict=False))
    for tilt, (slot, texts) in zip(TILTS_DEG, (places[0], places[count // 2], places[-1]), strict=True):
        for field in template.fields:
            if field.symbol is None:
                continue
            part = Part(slot.x_mm + field.x_mm, slot.y_mm + field.y_mm, field.width_mm, field.height_mm)
            pictures = [photograph(page, dpi, part, tilt_deg=tilt + more) for more in (0.0, 3.0)]
            said = f"{field.symbol}, {tilt} degrees"
            for picture in pictures:
                assert {one.text for one in zxingcpp.read_barcodes(picture)} == {texts["number"]}, said
            # ZBar misses some QR codes of any size in a single picture; a phone takes many.
            kinds = [pyzbar.ZBarSymbol[NAMES[field.symbol]]]
            seen = {one.data.decode() for picture in pictures for one in pyzbar.decode(picture, symbols=kinds)}
            assert seen == {texts["number"]}, said


def reads(kind: SymbolKind, module_mm: float, dpi: int, blur_mm: float) -> int:
    """Return how many of six photographs of one symbol zxing reads, each with the symbol elsewhere among the dots."""
    text = "9783161484100" if kind is SymbolKind.EAN13 else "B127-43"
    pattern = symbol_drawing.encode(kind, text)
    width = pattern.columns * module_mm + 0.01
    height = width if kind is SymbolKind.QR else 10.0
    found = 0
    for n in range(6):
        at = 2.0 + n * 0.023
        marks = symbol_drawing.draw(kind, text, SymbolFrame(at, at, width, height), (module_mm, module_mm))
        (page,) = dots([Page(width + 4.0, height + 4.0, marks)], dpi)
        picture = photograph(page, dpi, Part(at, at, width, height), tilt_deg=2.0 * n - 5.0, blur_mm=blur_mm)
        found += text in {one.text for one in zxingcpp.read_barcodes(picture)}
    return found


@pytest.mark.parametrize("dpi", DOTS_PER_INCH)
@pytest.mark.parametrize(
    ("kind", "smaller_mm", "blur_mm"),
    [(SymbolKind.QR, 0.4, 0.2), (SymbolKind.CODE128, 0.25, 0.15), (SymbolKind.EAN13, 0.25, 0.15)],
)
def test_the_least_module_is_read_where_smaller_ones_are_not(
    kind: SymbolKind, smaller_mm: float, blur_mm: float, dpi: int
) -> None:
    assert reads(kind, LEAST_MODULE_MM[kind], dpi, blur_mm) == 6
    assert reads(kind, smaller_mm, dpi, blur_mm) <= 3
