"""The two general decoders behind one interface: a grey picture in, symbols out.

zxing-cpp includes its decoder. ZBar, through pyzbar, needs the system's shared library; where that is missing the
reader works with zxing alone (`available` leaves ZBar out, `install_hint` explains how to install it).

Only the symbols used on books, periodicals and this project's labels are enabled: fewer formats mean fewer false reads
and more speed. A text whose check digit is wrong is dropped here. How far to trust the others is decided in
`intake.reading.vote`.

zxing-cpp reports a symbol with a supplement twice, once without it; ZBar reports the supplement as a separate symbol of
which only the outer end is known. Composite symbols are never enabled for ZBar: pyzbar fails on them.
"""

import math
import platform
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import Grey, centre_of, rectangle_around, width_of
from intake.reading.symbol_forms import SymbolForm, ean_number, is_own

SHORT_NAMES = ("EAN8", "UPCE")
RETAIL = "EAN13,EAN8,UPCA,UPCE"
LABELS = ",Code128,QRCode"
OWN_NAMES = ("Code128", "QRCode", "CODE128", "QRCODE")


@dataclass(frozen=True, slots=True)
class Decoded:
    """One symbol that one decoder read out of one grey picture.

    Attributes:
        number: 13 digits, or the text of an own number; its check digits are right.
        corners: clockwise from the symbol's own top left, in pixels of the picture given to the decoder; without the
            supplement where it is known where that begins.
        matrix: whether it is a QR code, which has no bars.
        ends_known: whether the left and right edges are those of the symbol; ZBar often reports one half only.
    """

    number: str
    form: SymbolForm
    corners: tuple[Point, ...]
    decoder: str
    add_on: str | None = None
    matrix: bool = False
    ends_known: bool = True


class Decoder(Protocol):
    """A general decoder."""

    @property
    def name(self) -> str:
        """Its name in `Reading.methods`."""

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """Read every symbol in the picture (uint8, height by width, C-contiguous); `own` adds the project's labels."""


def parse_symbol_text(text: str, form_name: str) -> tuple[str, SymbolForm] | None:
    """Return the number and the form of symbol of a decoder's text, or None if a check fails."""
    if form_name in OWN_NAMES:
        return (text, SymbolForm.OWN) if is_own(text) else None
    if form_name == "UPCE" and not text.startswith("0"):
        return None  # number system 1 has exactly the bars of the left half of an EAN-13 whose right half is covered
    number = ean_number(text, upc_e=form_name == "UPCE")
    return None if number is None else (number, SymbolForm.SHORT if form_name in SHORT_NAMES else SymbolForm.LONG)


class Zxing:
    """zxing-cpp, which is always installed."""

    name = "zxing"

    def __init__(self) -> None:
        import zxingcpp  # noqa: PLC0415 -- kept out of the start of commands that read no picture

        self.library: Any = zxingcpp

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """See `Decoder`."""
        barcodes = self.library.read_barcodes(
            grey,
            # Created for each call: the library reports formats that are kept as leaked when the program ends.
            formats=self.library.barcode_formats_from_str(RETAIL + LABELS if own else RETAIL),
            try_invert=False,
            ean_add_on_symbol=self.library.EanAddOnSymbol.Read,
        )
        return merge_duplicates([symbol for symbol in map(self.symbol, barcodes) if symbol is not None])

    def symbol(self, barcode: Any) -> Decoded | None:
        """Convert one of the library's results, whose position is clockwise from the symbol's top left."""
        text, add_on = split_add_on(barcode.text)
        known = parse_symbol_text(text, barcode.format.name)
        if known is None:
            return None
        place = barcode.position
        quad = [place.top_left, place.top_right, place.bottom_right, place.bottom_left]
        corners = tuple((float(point.x), float(point.y)) for point in quad)
        if add_on:
            corners = without_add_on(corners, add_on)
        return Decoded(known[0], known[1], corners, self.name, add_on, matrix=barcode.format.name == "QRCode")


def split_add_on(text: str) -> tuple[str, str | None]:
    """Split zxing-cpp's text into number and supplement, or None for the latter.

    >>> split_add_on("978030640615751299"), split_add_on("9780306406157")
    (('9780306406157', '51299'), ('9780306406157', None))
    """
    if len(text) in (15, 18) and text.isdigit():
        return text[:13], text[13:]
    return text, None


def without_add_on(corners: tuple[Point, ...], add_on: str) -> tuple[Point, ...]:
    """Shorten an outline to the symbol: 95 modules, then a gap of about 9, then the supplement's 20 or 47."""
    share = 95 / (95 + 9 + (20 if len(add_on) == 2 else 47))
    a, b, c, d = (np.array(point) for point in corners)
    right, low = a + (b - a) * share, d + (c - d) * share
    return (corners[0], (float(right[0]), float(right[1])), (float(low[0]), float(low[1])), corners[3])


def merge_duplicates(symbols: Sequence[Decoded]) -> tuple[Decoded, ...]:
    """Merge a symbol reported with and without its supplement: the same number at the same place."""
    merged: list[Decoded] = []
    for symbol in sorted(symbols, key=lambda symbol: symbol.add_on is None):
        for i, other in enumerate(merged):
            distance = math.dist(centre_of(symbol.corners), centre_of(other.corners))
            if symbol.number == other.number and distance < 1.2 * max(width_of(symbol.corners), 1.0):
                if other.add_on and not symbol.add_on:
                    merged[i] = replace(other, corners=symbol.corners)  # its right end is measured, not computed
                break
        else:
            merged.append(symbol)
    return tuple(merged)


class Zbar:
    """ZBar through pyzbar.

    Raises:
        ImportError: the shared library is not installed.
        OSError: the shared library is installed but cannot be loaded.
    """

    name = "zbar"

    def __init__(self) -> None:
        from pyzbar import pyzbar  # noqa: PLC0415 -- the import fails where the shared library is absent

        names = ["EAN13", "EAN8", "UPCA", "UPCE", "EAN5", "EAN2"]
        self.library: Any = pyzbar
        self.retail = [pyzbar.ZBarSymbol[name] for name in names]
        self.all = [*self.retail, pyzbar.ZBarSymbol.CODE128, pyzbar.ZBarSymbol.QRCODE]

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """See `Decoder`."""
        barcodes = self.library.decode(grey, symbols=self.all if own else self.retail)
        add_ons = [barcode for barcode in barcodes if barcode.type in ("EAN5", "EAN2")]
        symbols = [self.symbol(barcode, add_ons) for barcode in barcodes if barcode.type not in ("EAN5", "EAN2")]
        return tuple(symbol for symbol in symbols if symbol is not None)

    def symbol(self, barcode: Any, add_ons: Sequence[Any]) -> Decoded | None:
        """Convert one of the library's results, whose polygon is the hull of the points where scan lines ended."""
        known = parse_symbol_text(barcode.data.decode("ascii", "replace"), barcode.type)
        if known is None or len(barcode.polygon) == 0:
            return None
        hull = np.array(barcode.polygon, np.float32)
        corners = rectangle_around(hull, AHEAD.get(barcode.orientation, (1.0, 0.0)))
        matrix = barcode.type == "QRCODE"
        return Decoded(known[0], known[1], corners, self.name, supplement_beside(corners, add_ons), matrix, matrix)


AHEAD: dict[str | None, Point] = {"UP": (1.0, 0.0), "RIGHT": (0.0, 1.0), "DOWN": (-1.0, 0.0), "LEFT": (0.0, -1.0)}
"""The reading direction of a symbol for each of ZBar's orientations, which name the direction of its top."""


def supplement_beside(corners: tuple[Point, ...], add_ons: Sequence[Any]) -> str | None:
    """Return the text of the only supplement that ends where this symbol's would, else None.

    A supplement ends 27 to 59 modules to the right of a symbol of 95, so between a quarter and two thirds of its width,
    and beside its bars rather than above or below them.
    """
    a, b, _, d = (np.array(point) for point in corners)
    across, down = b - a, d - a
    width, height = float(np.hypot(*across)), float(np.hypot(*down))
    if width < 1:
        return None
    unit = across / width
    fitting = []
    for add_on in add_ons:
        offset = np.mean(np.array(add_on.polygon, float), axis=0) - a
        ahead = float(offset @ unit)
        aside = float(abs(offset @ np.array([-unit[1], unit[0]])))
        if 1.2 * width < ahead < 1.7 * width and aside < max(height, 0.3 * width):
            fitting.append(add_on.data.decode("ascii", "replace"))
    return fitting[0] if len(fitting) == 1 else None


def available() -> tuple[Decoder, ...]:
    """Return the decoders installed on this machine, zxing first."""
    try:
        return (Zxing(), Zbar())
    except (ImportError, OSError):
        return (Zxing(),)


def install_hint(system: str | None = None) -> str | None:
    """Return one sentence on how to install ZBar, or None where it is installed.

    Args:
        system: "Linux", "Darwin" or "Windows"; None for this machine's.
    """
    if any(decoder.name == "zbar" for decoder in available()):
        return None
    command = {
        "Linux": "`sudo apt install libzbar0` on Debian or Ubuntu, `sudo dnf install zbar` on Fedora",
        "Darwin": "`brew install zbar`",
        "Windows": "`pip install --force-reinstall pyzbar` and Microsoft's Visual C++ 2013 runtime",
    }.get(system or platform.system(), "your system's package for the ZBar library")
    return f"ZBar is not installed, so that fewer blurred symbols are read; install it with {command}."
