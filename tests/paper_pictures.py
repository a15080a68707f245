"""A picture of each paper, for README and docs, from the library of the demonstration; all of it is invented.

    python -m tests.paper_pictures [DEMO]

Runs the demonstration (or takes the folder of one that was run), prints every paper that the registry has, writes its
first page as `docs/papers/NAME.png`, and all of them on one sheet as `docs/papers.jpg`. What cannot be made is said.
"""

import sys
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdfium2
from PIL import Image, ImageDraw

from intake.cli import startup
from intake.cli.main import run as intake
from intake.edges.store.library import Library, open_library
from intake.edges.store.queries.papers import reports_of_copies
from intake.errors import IntakeError
from intake.flow.demo.demo_values import RATES_ON
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat
from intake.flow.papers.registry import PAPERS
from intake.flow.papers.render import render
from intake.model.boxes import Consignment

DOCS = Path(__file__).parent.parent / "docs"
DPI = 80
GREYS = 16
ACROSS, SMALL_PX = 6, (300, 425)
"""Of the sheet with all of them: how many stand in a row, and the most that each takes."""


def options_of(library: Library, paper: Paper[Any]) -> PaperOptions:
    """Return what a person would choose for a paper of the demonstration."""
    with library.reading() as reader:
        consignments = [one.reference for one in reader.all(Consignment)]
        reported = list(reports_of_copies(reader))
    if paper.name == "periods":
        limits = replace(paper.defaults, reference=consignments[0], regime="hague-visby", currency="USD")
        return replace(limits, rate=Decimal("1.36"), rate_on=startup.today(), rate_source="an invented rate")
    chosen = replace(
        paper.defaults,
        reference=consignments[0],
        copy=reported[0],
        limit=Decimal(50),
        owner="The household of the demonstration",
        rates_on=RATES_ON,
        relief="eu",
    )
    return replace(chosen, copies=tuple(reported[:1])) if paper.name == "condition" else chosen


def first_page(data: bytes) -> Image.Image:
    """Return the first page of a PDF file as a picture in greys."""
    with pypdfium2.PdfDocument(data) as document:
        picture: Image.Image = document[0].render(scale=DPI / 72).to_pil()
        return picture.convert("L")


def sheet_of(pictures: Sequence[tuple[str, Image.Image]]) -> Image.Image:
    """Return all pictures on one sheet, each with its name."""
    width, height = SMALL_PX
    rows = -(-len(pictures) // ACROSS)
    sheet = Image.new("L", (ACROSS * (width + 16), rows * (height + 40)), 224)
    drawing = ImageDraw.Draw(sheet)
    for nth, (name, picture) in enumerate(pictures):
        small = picture.copy()
        small.thumbnail(SMALL_PX)
        x, y = nth % ACROSS * (width + 16) + 8, nth // ACROSS * (height + 40) + 8
        sheet.paste(small, (x, y))
        drawing.text((x, y + height + 8), name, fill=0, font_size=18)
    return sheet


def make(library: Library) -> int:
    """Write the pictures; return how many papers could not be made."""
    folder = DOCS / "papers"
    folder.mkdir(parents=True, exist_ok=True)
    pictures, faults = [], 0
    for paper in PAPERS:
        try:
            made = render(library, paper, options_of(library, paper), PaperFormat.PDF, on=startup.today())
        except IntakeError as error:
            print(f"{paper.name}: {error}")
            faults += 1
            continue
        picture = first_page(made.data)
        pictures.append((paper.name, picture))
        picture.quantize(GREYS).save(folder / f"{paper.name}.png", optimize=True)
    sheet_of(pictures).save(DOCS / "papers.jpg", quality=70, optimize=True)
    print(f"{len(pictures)} pictures in {folder}")
    return faults


def main() -> int:
    """Run the demonstration where none is named, and write the pictures."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(temporary) / "demo"
        if not folder.is_dir() and intake(["demo", "--into", str(folder)]):
            return 1
        with open_library(folder / "library") as library:
            return min(1, make(library))


if __name__ == "__main__":
    sys.exit(main())
