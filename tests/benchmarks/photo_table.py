"""A table of the development photographs: what this reader and what general decoders alone make of them.

    python -m tests.benchmarks.photo_table

"right" is accepted and printed in the picture, "wrong" accepted and not printed there, "in 3" right or among the three
candidates shown to the person. Decoders alone have one pass over the grey picture as it is; whatever they return
counts. This reader is shown without a catalog, with one of 10,000 numbers that holds those in the pictures, and with
the same without them. Every third picture was held out while the decoders' rules were chosen; the grey-level reader's
model and thresholds were chosen with all groups in view, so that for it "held out" is no independent check.
"""

import statistics
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import cv2

from intake.edges.pictures import load
from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder, Zbar, Zxing, available
from intake.reading.geometry import Grey
from intake.reading.read import read
from intake.reading.symbol_forms import ean_number
from tests.reading.drawing import invented
from tests.reading.photographs import ABSENT, FOLDER, Photograph, photographs

CATALOG = 10_000

Reader = Callable[[Grey], tuple[set[str], set[str]]]
"""From a picture to the numbers it accepts and those it would show a person."""


@dataclass
class Row:
    """One line of the table."""

    pictures: int = 0
    right: int = 0
    wrong: int = 0
    shown: int = 0
    times_ms: list[float] = field(default_factory=list)

    def count(self, photograph: Photograph, accepted: set[str], shown: set[str], ms: float) -> None:
        """Add one picture."""
        self.pictures += 1
        self.right += photograph.number in accepted
        self.wrong += any(not photograph.shows(number) for number in accepted)
        self.shown += photograph.number in accepted | shown
        self.times_ms.append(ms)

    def __str__(self) -> str:
        times = sorted(self.times_ms)
        late = times[min(len(times) - 1, round(0.95 * len(times)))]
        counts = f"{self.pictures:9d}{self.right:7d}{self.wrong:7d}{self.shown:7d}"
        return f"{counts}{statistics.median(times):9.1f}{late:9.1f}"


def ours(decoders: tuple[Decoder, ...], known: CodeBook | None = None) -> Reader:
    """Return this project's reader, with a catalog or without."""

    def reader(grey: Grey) -> tuple[set[str], set[str]]:
        found = read(grey, decoders=decoders, known=known)
        shown = {number for r in found for number in (r.number, *r.candidates)}
        return {r.number for r in found if r.accepted}, shown

    return reader


def alone(decoder: Decoder) -> Reader:
    """Return one decoder, asked once."""
    return lambda grey: ({symbol.number for symbol in decoder.decode(grey)}, set())


def opencv() -> Reader:
    """Return OpenCV's detector, asked once."""
    detector = cv2.barcode.BarcodeDetector()

    def reader(grey: Grey) -> tuple[set[str], set[str]]:
        _, texts, *_ = detector.detectAndDecodeWithType(grey)
        numbers = (ean_number(text) for text in texts if text.isdigit())
        return {number for number in numbers if number}, set()

    return reader


def readers() -> dict[str, Reader]:
    """Return what the table compares, by name."""
    zxing = Zxing()
    printed = {each.number for each in photographs() if each.number}
    strangers = invented(CATALOG)
    table = {
        "no catalog": ours(available()),
        "catalog of 10,000": ours(available(), CodeBook.of([*printed, *strangers[len(printed) :]])),
        "catalog without them": ours(available(), CodeBook.of(set(strangers) - printed)),
        "zxing only, no catalog": ours((zxing,)),
        "zxing": alone(zxing),
    }
    if len(available()) > 1:
        table["pyzbar"] = alone(Zbar())
    return {**table, "opencv": opencv()}


def tabulate(name: str, reader: Reader, shown: Iterable[tuple[Photograph, Grey]]) -> str:
    """Run one reader over all pictures and write its part of the table."""
    rows: dict[str, Row] = {}
    for photograph, grey in shown:
        start = time.perf_counter()
        accepted, doubtful = reader(grey)
        ms = (time.perf_counter() - start) * 1000
        part = "held out" if photograph.held_out else "tuned on"
        for key in (photograph.group, part, "all"):
            rows.setdefault(key, Row()).count(photograph, accepted, doubtful, ms)
    order = sorted(rows, key=lambda key: (key in ("held out", "tuned on", "all"), key == "all", key))
    head = f"{name:24}{'pictures':>9}{'right':>7}{'wrong':>7}{'in 3':>7}{'median':>9}{'95 %':>9}  ms"
    return "\n".join([head, *(f"  {key:22}{rows[key]}" for key in order)])


def main() -> int:
    """Print the table."""
    if not FOLDER.is_dir():
        print(ABSENT)
        return 1
    shown = [(photograph, load(photograph.path).grey) for photograph in photographs()]
    for name, reader in readers().items():
        print(tabulate(name, reader, shown), end="\n\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
