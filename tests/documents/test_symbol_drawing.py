"""Patterns against GS1's own, sizes measured in the rendered page, and symbols read by another decoder."""

from collections.abc import Callable, Sequence

import cv2
import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.documents import symbol_drawing
from intake.documents.symbol_drawing import SymbolFrame
from intake.edges import pdf
from intake.errors import UsageError
from intake.model.pages import Mark, Page, Symbol
from intake.model.papers import SymbolKind
from intake.units.convert import mm_to_px
from tests.drawn_examples import examples

Grey = npt.NDArray[np.uint8]
Render = Callable[[Sequence[Page], float], list[Grey]]

EAN, CODE128, QR = SymbolKind.EAN13, SymbolKind.CODE128, SymbolKind.QR

# Encoded by hand from the tables of the GS1 General Specifications (section 5.2, L, G and R codes, parity by the first
# digit; ISO/IEC 15420).
EAN_MODULES = {
    "9780110002224": "10101110110001001010011100110010110011000110101010111001011100101101100110110011011001011100101",
    "9783161484100": "10101110110001001010000100110010000101001100101010101110010010001011100110011011100101110010101",
    "4006381333931": "10100011010100111010111101111010001001011001101010100001010000101000010111010010000101100110101",
}
ADD_ON_MODULES = {
    "51299": "10110110001010110011010010011010001011010010111",
    "90000": "10110001011010100111010001101010100111010001101",
    "34": "10110100001010100011",
}


@pytest.mark.parametrize("number", EAN_MODULES)
def test_ean_has_the_modules_of_the_standard(number: str) -> None:
    assert symbol_drawing.encode(EAN, number).rows == (EAN_MODULES[number],)


@pytest.mark.parametrize("add_on", ADD_ON_MODULES)
def test_add_on_has_the_modules_of_the_standard(add_on: str) -> None:
    pattern = symbol_drawing.encode(EAN, f"9783161484100+{add_on}")
    main, gap, extra = pattern.rows[0][:95], pattern.rows[0][95:104], pattern.rows[0][104:]
    assert (main, extra) == (EAN_MODULES["9783161484100"], ADD_ON_MODULES[add_on])
    # GS1 General Specifications 5.2.2.5: 7 to 12 modules apart on an EAN-13, 5 light ones to the right.
    assert set(gap) == {"0"}
    assert 7 <= len(gap) <= 12
    assert pattern.right == 5


def drawn(marks: Sequence[Mark]) -> Symbol:
    return next(mark for mark in marks if isinstance(mark, Symbol))


def runs(line: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return (first, past) of each dark run."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], line.astype(np.int8), [0]))))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def test_nominal_ean_measures_what_gs1_says(render: Render) -> None:
    # GS1 General Specifications 5.2.6 at X = 0.330 mm: bars 31.35 x 22.85 mm, quiet zones 3.63 and 2.31 mm, 37.29 mm
    # in all, guards 5X longer, 25.93 mm with the figures.
    dpi, box = 1200, SymbolFrame(5.0, 5.0, 37.29, 25.93)
    marks = symbol_drawing.draw(EAN, "9783161484100", box, (0.264, 0.33))
    (grey,) = render([Page(50.0, 40.0, marks)], dpi)
    dark = grey < 128

    def mm(px: float) -> float:
        return px / mm_to_px(1.0, dpi)

    bars = runs(dark[round(mm_to_px(10.0, dpi))])
    assert mm(bars[0][0]) - 5.0 == pytest.approx(3.63, abs=0.03)
    assert mm(bars[-1][1] - bars[0][0]) == pytest.approx(31.35, abs=0.03)
    assert 5.0 + 37.29 - mm(bars[-1][1]) == pytest.approx(2.31, abs=0.03)
    assert mm(bars[0][1] - bars[0][0]) == pytest.approx(0.33, abs=0.022)

    guard = runs(dark[:, (bars[0][0] + bars[0][1]) // 2])[0]
    inner = runs(dark[:, (bars[3][0] + bars[3][1]) // 2])[0]
    assert mm(inner[1] - inner[0]) == pytest.approx(22.85, abs=0.03)
    assert mm(guard[1] - inner[1]) == pytest.approx(5 * 0.33, abs=0.03)
    rows = np.flatnonzero(dark.any(axis=1))
    assert mm(rows[-1] + 1) - 5.0 == pytest.approx(25.93, abs=0.15)


@pytest.mark.parametrize(
    ("kind", "text", "left", "right"),
    [
        (EAN, "9783161484100", 11, 7),
        (EAN, "9783161484100+51299", 11, 5),
        (CODE128, "B7-52", 10, 10),
        (QR, "B7-52", 4, 4),
    ],
)
def test_quiet_zones_stay_inside_the_box(kind: SymbolKind, text: str, left: int, right: int) -> None:
    # GS1 General Specifications 5.2.3.4, ISO/IEC 15417 (10X), ISO/IEC 18004 (4 modules).
    box = SymbolFrame(10.0, 20.0, 60.0, 60.0)
    symbol = drawn(symbol_drawing.draw(kind, text, box, (0.2, 5.0)))
    assert symbol.x_mm - box.x_mm >= left * symbol.module_mm - 1e-9
    assert box.x_mm + box.width_mm - symbol.x_mm - symbol.width_mm >= right * symbol.module_mm - 1e-9
    if kind is QR:
        assert symbol.y_mm - box.y_mm >= 4 * symbol.module_mm - 1e-9
        assert box.y_mm + box.height_mm - symbol.y_mm - symbol.height_mm >= 4 * symbol.module_mm - 1e-9


def zbar_reads(grey: Grey) -> set[tuple[str, str]]:
    pyzbar = pytest.importorskip("pyzbar.pyzbar", reason="ZBar's shared library is not installed", exc_type=ImportError)
    kinds = [pyzbar.ZBarSymbol[name] for name in ("EAN13", "CODE128", "QRCODE")]
    return {(found.type, found.data.decode()) for found in pyzbar.decode(grey, symbols=kinds)}


@pytest.mark.parametrize("dpi", [300, 203])
@pytest.mark.parametrize(
    ("kind", "text", "module", "name"),
    [
        (EAN, "9783161484100", (0.33, 0.33), "EAN13"),
        (EAN, "9780110002224+51299", (0.33, 0.33), "EAN13"),
        (CODE128, "A1048576-43", (0.25, 0.4), "CODE128"),
        (QR, "S12-08", (0.4, 0.6), "QRCODE"),
    ],
)
def test_zbar_reads_what_is_drawn(
    render: Render, kind: SymbolKind, text: str, module: tuple[float, float], name: str, dpi: int
) -> None:
    marks = symbol_drawing.draw(kind, text, SymbolFrame(5.0, 5.0, 60.0, 26.0), module)
    (grey,) = render([Page(70.0, 36.0, marks)], dpi)
    assert zbar_reads(grey) == {(name, text.partition("+")[0])}


@pytest.mark.parametrize("dpi", [300, 203])
def test_opencv_reads_the_qr_code(render: Render, dpi: int) -> None:
    marks = symbol_drawing.draw(QR, "A127-43", SymbolFrame(5.0, 5.0, 26.0, 26.0), (0.4, 0.6))
    (grey,) = render([Page(36.0, 36.0, marks)], dpi)
    assert cv2.QRCodeDetector().detectAndDecode(grey)[0] == "A127-43"


@settings(max_examples=examples(25), deadline=None)
@given(
    kind=st.sampled_from([CODE128, QR]),
    text=st.text("ABS0123456789-", min_size=3, max_size=14).filter(lambda text: text[0] != "-"),
)
def test_own_numbers_come_back(kind: SymbolKind, text: str) -> None:

    marks = symbol_drawing.draw(kind, text, SymbolFrame(5.0, 5.0, 120.0, 30.0), (0.4, 0.5))
    data, _ = pdf.draw([Page(130.0, 40.0, marks)], title="test")
    grey = np.asarray(pypdfium2.PdfDocument(data)[0].render(scale=300 / 72).to_pil().convert("L"))
    assert {read for _, read in zbar_reads(grey)} == {text}


@pytest.mark.parametrize(
    ("kind", "text"), [(EAN, "9783161484101"), (EAN, "97831614841"), (EAN, ""), (CODE128, "鳥"), (QR, "x" * 5000)]
)
def test_what_cannot_be_encoded_is_refused(kind: SymbolKind, text: str) -> None:
    with pytest.raises(UsageError):
        symbol_drawing.encode(kind, text)


def test_a_symbol_is_never_drawn_too_small() -> None:
    with pytest.raises(UsageError):
        symbol_drawing.draw(EAN, "9783161484100", SymbolFrame(0, 0, 113 * 0.264 - 0.1, 20), (0.264, 0.33))
