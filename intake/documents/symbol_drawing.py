"""Drawing EAN-13 with its add-ons, Code 128 and QR codes with modules of exact width.

The patterns come from zxing-cpp; sizes and quiet zones are computed here: EAN-13 after the GS1 General Specifications
(nominal module 0.330 mm, 80 to 200 %; quiet zones 11 modules left and 7 right, 5 right of an add-on; guards 5 modules
longer than the bars), Code 128 after ISO/IEC 15417 (10 modules each side), QR after ISO/IEC 18004 (4 modules on all
sides). Bars are truncated to the height of the label, which is allowed but limits the angles at which they can be
scanned. Print quality is not graded.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import zxingcpp

from intake.errors import UsageError
from intake.model.pages import Align, Mark, Symbol, Text
from intake.model.papers import SymbolKind
from intake.units.convert import mm_to_pt

LONGEST_ALT = 60
"""Of what is read aloud in place of a symbol, in letters; the text stands beside it."""
EAN_BARS_X = 22.85 / 0.330
"""Height of the bars of an EAN-13 in modules, above its longer guards."""
EAN_GUARD_X = 5
EAN_DIGITS_X = 25.93 / 0.330 - EAN_BARS_X
"""Distance from the foot of the bars to the foot of the digits, in modules."""
EAN_GAP_X = 9
"""Light modules between an EAN-13 and its add-on; the standard requires 7 to 12."""
DIGIT_EM = 0.65
"""Height of a digit as a share of the type size."""


@dataclass(frozen=True, slots=True)
class SymbolFrame:
    """The rectangle for a symbol and its quiet zones, origin top left, in mm."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Pattern:
    """The modules of a symbol, and its quiet zones in modules.

    Attributes:
        rows: one string for a linear symbol; for a matrix, one for each row of modules.
    """

    kind: SymbolKind
    rows: tuple[str, ...]
    left: int
    right: int
    above: int = 0

    @property
    def columns(self) -> int:
        """Return the width with quiet zones, in modules."""
        return self.left + len(self.rows[0]) + self.right


@lru_cache(maxsize=1024)
def encode(kind: SymbolKind, text: str) -> Pattern:
    """Return the modules of a text.

    Args:
        kind: the symbology.
        text: for EAN-13 the 13 digits, and after a plus sign the 2 or 5 of an add-on.

    Raises:
        UsageError: the symbology cannot encode the text.

    >>> len(encode(SymbolKind.EAN13, "9780306406157").rows[0])
    95
    """
    if kind is SymbolKind.EAN13:
        main, _, add_on = text.partition("+")
        if len(main) != 13:
            raise UsageError(f"{text!r}", "is not a number of 13 digits", "give all 13 digits")
        bars = _modules(zxingcpp.BarcodeFormat.EAN13, text)[-1]
        if not add_on:
            return Pattern(kind, (_modules(zxingcpp.BarcodeFormat.EAN13, main)[0],), left=11, right=7)
        extra = bars[-(47 if len(add_on) == 5 else 20) :]
        return Pattern(kind, (_modules(zxingcpp.BarcodeFormat.EAN13, main)[0] + "0" * EAN_GAP_X + extra,), 11, 5)
    if kind is SymbolKind.CODE128:
        if not text.isascii():
            raise UsageError(f"{text!r}", "has characters that Code 128 cannot encode", "use a QR code")
        return Pattern(kind, (_modules(zxingcpp.BarcodeFormat.Code128, text)[0],), left=10, right=10)
    return Pattern(kind, _modules(zxingcpp.BarcodeFormat.QRCode, text), left=4, right=4, above=4)


def draw(
    kind: SymbolKind, text: str, box: SymbolFrame, module_mm: tuple[float, float], align: Align = Align.LEFT
) -> tuple[Mark, ...]:
    """Draw a symbol with its quiet zones at the top of a rectangle, as large as fits.

    Args:
        kind: the symbology.
        text: see `encode`.
        box: the rectangle, which includes the quiet zones.
        module_mm: smallest and largest width of a module.
        align: the side of the rectangle with which the outer edge of the quiet zone is aligned.

    Raises:
        UsageError: the text cannot be encoded, or the symbol does not fit at its smallest size.
    """
    pattern = encode(kind, text)
    module = _module(pattern, box, module_mm[1])
    if module < module_mm[0]:
        raise UsageError(
            f"The {kind.value} symbol of {text}",
            f"does not fit {box.width_mm:g} x {box.height_mm:g} mm with modules of {module_mm[0]:g} mm",
            "use a template with a larger field",
        )
    alt = f"{kind.value}: {text if len(text) <= LONGEST_ALT else text[:LONGEST_ALT] + '…'}"
    spare = box.width_mm - pattern.columns * module
    x_mm = box.x_mm + pattern.left * module + spare * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[align]
    if kind is SymbolKind.QR:
        y_mm = box.y_mm + pattern.above * module
        return (Symbol(x_mm, y_mm, module, pattern.rows, (module,) * len(pattern.rows), alt),)
    if kind is SymbolKind.CODE128:
        return (Symbol(x_mm, box.y_mm, module, pattern.rows, (box.height_mm,), alt),)
    return _ean(pattern.rows[0], text, (x_mm, box.y_mm), module, box.height_mm)


def _module(pattern: Pattern, box: SymbolFrame, largest_mm: float) -> float:
    """Return the largest module that fits, in steps of 5 micrometres."""
    fits = min(largest_mm, box.width_mm / pattern.columns)
    if pattern.kind is SymbolKind.QR:
        fits = min(fits, box.height_mm / (len(pattern.rows) + 2 * pattern.above))
    return math.floor(fits * 200 + 1e-6) / 200


def _ean(bars: str, text: str, at: tuple[float, float], module: float, height_mm: float) -> tuple[Mark, ...]:
    """Draw bars, longer guards and digits; the digits of an add-on are above its bars."""
    main, _, add_on = text.partition("+")
    below_mm = EAN_DIGITS_X * module
    bars_mm = min(EAN_BARS_X * module, height_mm - below_mm)
    guards = bars[:3] + "0" * 42 + bars[45:50] + "0" * 42 + bars[92:95]
    rows, heights = [bars, guards], [bars_mm, EAN_GUARD_X * module]
    if add_on:
        head_mm = (EAN_DIGITS_X + 1) * module
        rows = [bars[:95] + "0" * (len(bars) - 95), bars, guards + bars[95:]]
        heights = [head_mm, bars_mm - head_mm, EAN_GUARD_X * module]
    x_mm, y_mm = at
    size = mm_to_pt((EAN_DIGITS_X - 1) * module / DIGIT_EM)
    foot = y_mm + bars_mm + below_mm
    marks: list[Mark] = [
        Symbol(x_mm, y_mm, module, tuple(rows), tuple(heights), alt=f"{SymbolKind.EAN13.value}: {text}"),
        Text(x_mm - 3 * module, foot, main[0], size, align=Align.RIGHT),
        Text(x_mm + 24.0 * module, foot, main[1:7], size, align=Align.CENTRE),
        Text(x_mm + 71.0 * module, foot, main[7:], size, align=Align.CENTRE),
    ]
    if add_on:
        middle = x_mm + (95 + EAN_GAP_X + (len(bars) - 95 - EAN_GAP_X) / 2) * module
        marks.append(Text(middle, y_mm + (EAN_DIGITS_X - 1) * module, add_on, size, align=Align.CENTRE))
    return tuple(marks)


def _modules(kind: zxingcpp.BarcodeFormat, text: str) -> tuple[str, ...]:
    options = {"ec_level": "Q"} if kind == zxingcpp.BarcodeFormat.QRCode else {}
    try:
        code = zxingcpp.create_barcode(text, kind, **options)
    except ValueError as error:
        raise UsageError(f"{text!r}", f"cannot be drawn as a symbol ({error})", "correct the number") from error
    dark = np.asarray(code.to_image(scale=1, add_quiet_zones=False)) == 0
    return tuple((row + np.uint8(ord("0"))).tobytes().decode("ascii") for row in dark.astype(np.uint8))
