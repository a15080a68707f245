"""The two general decoders behind one face: a grey picture in, symbols out.

zxing-cpp carries its own decoder. ZBar, through pyzbar, needs the system's shared library; where that is absent the
reader goes on with zxing alone (`available` leaves ZBar out, `hint` says how to install it).

Only the symbols that books, periodicals and this project's labels carry are asked for: fewer formats are fewer false
reads, and faster. A text whose check digit fails is dropped here. How far to trust what is left is decided in
`intake.reading.vote`.

zxing-cpp reports a symbol with a supplement twice, once without it; ZBar reports the supplement as a symbol of its own
of which only the outer end is known. ZBar is never asked for composite symbols: pyzbar fails on them.
"""

import math
import platform
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np

from intake.model.readings import Point
from intake.reading.geometry import Grey, centre_of, ordered, width_of
from intake.reading.symbol_forms import SymbolForm, ean_number, is_own

SHORT_NAMES = ("EAN8", "UPCE")
RETAIL = "EAN13,EAN8,UPCA,UPCE"
LABELS = ",Code128,QRCode"
OWN_NAMES = ("Code128", "QRCode", "CODE128", "QRCODE")


@dataclass(frozen=True, slots=True)
class Decoded:
    """One symbol that one decoder read out of one grey picture.

    Attributes:
        number: 13 digits, or the text of an own number; its check digits hold.
        corners: clockwise from the symbol's own top left, in pixels of the picture given to the decoder; without the
            supplement where that can be told.
        matrix: a QR code, which has no bars.
        ends_known: whether the left and right edges are those of the symbol; ZBar often knows one half only.
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
        """The word for it in `Reading.methods`."""

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """Read every symbol in the picture (uint8, height by width, C-contiguous); `own` adds the project's labels."""


def understood(text: str, form_name: str) -> tuple[str, SymbolForm] | None:
    """Return the number and form of a decoder's text, or None where a check fails."""
    if form_name in OWN_NAMES:
        return (text, SymbolForm.OWN) if is_own(text) else None
    if form_name == "UPCE" and not text.startswith("0"):
        return None  # one of number system 1 is, bar for bar, the left half of an EAN-13 whose rest is covered
    number = ean_number(text, upc_e=form_name == "UPCE")
    return None if number is None else (number, SymbolForm.SHORT if form_name in SHORT_NAMES else SymbolForm.LONG)


class Zxing:
    """zxing-cpp, always there."""

    name = "zxing"

    def __init__(self) -> None:
        import zxingcpp  # noqa: PLC0415 -- kept out of the start of commands that read no picture

        self.library: Any = zxingcpp

    def decode(self, grey: Grey, *, own: bool = False) -> tuple[Decoded, ...]:
        """See `Decoder`."""
        found = self.library.read_barcodes(
            grey,
            # Made anew each time: kept, the library reports them as leaked when the program ends.
            formats=self.library.barcode_formats_from_str(RETAIL + LABELS if own else RETAIL),
            try_invert=False,
            ean_add_on_symbol=self.library.EanAddOnSymbol.Read,
        )
        return merged([symbol for symbol in map(self.symbol, found) if symbol is not None])

    def symbol(self, barcode: Any) -> Decoded | None:
        """Translate one of the library's results; its position goes round clockwise from the symbol's top left."""
        text, add_on = split_add_on(barcode.text)
        known = understood(text, barcode.format.name)
        if known is None:
            return None
        place = barcode.position
        quad = [place.top_left, place.top_right, place.bottom_right, place.bottom_left]
        corners = tuple((float(point.x), float(point.y)) for point in quad)
        if add_on:
            corners = without_add_on(corners, add_on)
        return Decoded(known[0], known[1], corners, self.name, add_on, matrix=barcode.format.name == "QRCode")


def split_add_on(text: str) -> tuple[str, str | None]:
    """Take the supplement off the end of zxing-cpp's text for a symbol that has one.

    >>> split_add_on("978030640615751299"), split_add_on("9780306406157")
    (('9780306406157', '51299'), ('9780306406157', None))
    """
    if len(text) in (15, 18) and text.isdigit():
        return text[:13], text[13:]
    return text, None


def without_add_on(corners: tuple[Point, ...], add_on: str) -> tuple[Point, ...]:
    """Cut the supplement off the end: 95 modules of symbol, then a gap of about 9, then 20 or 47 modules."""
    share = 95 / (95 + 9 + (20 if len(add_on) == 2 else 47))
    a, b, c, d = (np.array(point) for point in corners)
    right, low = a + (b - a) * share, d + (c - d) * share
    return (corners[0], (float(right[0]), float(right[1])), (float(low[0]), float(low[1])), corners[3])


def merged(symbols: Sequence[Decoded]) -> tuple[Decoded, ...]:
    """Make one of a symbol reported with and without its supplement: the same number at the same place."""
    kept: list[Decoded] = []
    for symbol in sorted(symbols, key=lambda each: each.add_on is None):
        for i, other in enumerate(kept):
            distance = math.dist(centre_of(symbol.corners), centre_of(other.corners))
            if symbol.number == other.number and distance < 1.2 * max(width_of(symbol.corners), 1.0):
                if other.add_on and not symbol.add_on:
                    kept[i] = replace(other, corners=symbol.corners)  # its right end is seen and not reckoned
                break
        else:
            kept.append(symbol)
    return tuple(kept)


class Zbar:
    """ZBar through pyzbar.

    Raises:
        ImportError: the shared library is not installed.
        OSError: the shared library is installed and cannot be loaded.
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
        found = self.library.decode(grey, symbols=self.all if own else self.retail)
        add_ons = [each for each in found if each.type in ("EAN5", "EAN2")]
        symbols = [self.symbol(each, add_ons) for each in found if each.type not in ("EAN5", "EAN2")]
        return tuple(symbol for symbol in symbols if symbol is not None)

    def symbol(self, barcode: Any, add_ons: Sequence[Any]) -> Decoded | None:
        """Translate one of the library's results; its polygon is the hull of where scan lines left the symbol."""
        known = understood(barcode.data.decode("ascii", "replace"), barcode.type)
        if known is None or len(barcode.polygon) == 0:
            return None
        hull = np.array(barcode.polygon, np.float32)
        corners = ordered(hull, AHEAD.get(barcode.orientation, (1.0, 0.0)))
        matrix = barcode.type == "QRCODE"
        return Decoded(known[0], known[1], corners, self.name, beside(corners, add_ons), matrix, matrix)


AHEAD: dict[str | None, Point] = {"UP": (1.0, 0.0), "RIGHT": (0.0, 1.0), "DOWN": (-1.0, 0.0), "LEFT": (0.0, -1.0)}
"""ZBar's word for the way a symbol's top points, as the direction in which the symbol is read."""


def beside(corners: tuple[Point, ...], add_ons: Sequence[Any]) -> str | None:
    """Return the text of the one supplement that ends where this symbol's would, else None.

    The end of a supplement lies 27 to 59 modules behind a symbol of 95, so between a quarter and two thirds of its
    width, and beside its bars rather than above or below them.
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
    """Return the decoders that this machine has, zxing first."""
    try:
        return (Zxing(), Zbar())
    except (ImportError, OSError):
        return (Zxing(),)


def hint(system: str | None = None) -> str | None:
    """Say in one sentence how to install ZBar; None where it is there.

    Args:
        system: "Linux", "Darwin" or "Windows"; this machine's where it is not given.
    """
    if any(decoder.name == "zbar" for decoder in available()):
        return None
    command = {
        "Linux": "`sudo apt install libzbar0` on Debian or Ubuntu, `sudo dnf install zbar` on Fedora",
        "Darwin": "`brew install zbar`",
        "Windows": "`pip install --force-reinstall pyzbar` and Microsoft's Visual C++ 2013 runtime",
    }.get(system or platform.system(), "your system's package for the ZBar library")
    return f"ZBar is not installed, so that fewer blurred symbols are read; install it with {command}."
