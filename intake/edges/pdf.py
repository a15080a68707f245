"""Drawing pages as a PDF file, at exact size, with embedded fonts.

The same pages give the same bytes. Symbols are filled paths whose modules have their exact width. The file tells the
printing program not to scale; whether the printer complies can be checked with a ruler. Only this module and `fonts`
use reportlab.
"""

import io
import re
from collections.abc import Iterable, Iterator
from typing import Any

from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from intake.edges import fonts
from intake.model.pages import (
    Align,
    Mark,
    Page,
    PlacedPicture,
    PrintReport,
    Rectangle,
    RuledLine,
    Symbol,
    Text,
)
from intake.units.convert import mm_to_pt

# ASCII85 encoding of binary parts: no current reader needs it, and it takes a fifth of the time.
rl_config.useA85 = 0

DARK = re.compile("1+")


def draw(pages: Iterable[Page], *, title: str, author: str = "", subject: str = "") -> tuple[bytes, PrintReport]:
    """Return pages as a PDF file.

    Args:
        pages: in order.
        title: shown by viewers instead of the file name.
        author: the owner of the list.
        subject: the text of its proof, which is read from here when the file is verified.

    Returns:
        The bytes of the file; the number of pages, and the letters that could not be printed properly.
    """
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(subject)
    canvas.setCreator("book-intake")
    canvas.setViewerPreference("PrintScaling", "None")
    pen = _Pen(canvas)
    count = 0
    for page in pages:
        canvas.setPageSize((mm_to_pt(page.width_mm), mm_to_pt(page.height_mm)))
        for mark in page.marks:
            pen.draw(mark, page.height_mm)
        canvas.showPage()
        count += 1
    canvas.save()
    return buffer.getvalue(), PrintReport(pages=count, missing=tuple(pen.missing), unshaped=tuple(pen.unshaped))


class _Pen:
    """Draws marks on a canvas, whose y axis points upwards, and collects the letters that fail."""

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self.missing: dict[str, None] = {}
        self.unshaped: dict[str, None] = {}

    def draw(self, mark: Mark, page_mm: float) -> None:
        match mark:
            case Text():
                self._text(mark, page_mm)
            case RuledLine():
                self.canvas.setLineWidth(mark.width_pt)
                ends = (mark.x1_mm, page_mm - mark.y1_mm, mark.x2_mm, page_mm - mark.y2_mm)
                self.canvas.line(*map(mm_to_pt, ends))
            case Rectangle():
                self._rectangle(mark, page_mm)
            case Symbol():
                path = PDFPathObject(code=list(_bars(mark, page_mm)))
                self.canvas.drawPath(path, stroke=0, fill=1)
            case PlacedPicture():
                corner = (mark.x_mm, page_mm - mark.y_mm - mark.height_mm, mark.width_mm, mark.height_mm)
                self.canvas.drawImage(ImageReader(io.BytesIO(mark.data)), *map(mm_to_pt, corner), mask="auto")

    def _text(self, mark: Text, page_mm: float) -> None:
        line = fonts.prepare(mark.text, bold=mark.bold)
        self.missing.update(dict.fromkeys(line.missing))
        self.unshaped.update(dict.fromkeys(line.unshaped))
        back_mm = line.unit * mark.size_pt * {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[mark.align]
        x_pt, y_pt = mm_to_pt(mark.x_mm), mm_to_pt(page_mm - mark.y_mm)
        if mark.rotation_deg:
            self.canvas.saveState()
            self.canvas.translate(x_pt, y_pt)
            self.canvas.rotate(mark.rotation_deg)
            self._runs(line, -mm_to_pt(back_mm), 0.0, mark.size_pt)
            self.canvas.restoreState()
        else:
            self._runs(line, x_pt - mm_to_pt(back_mm), y_pt, mark.size_pt)

    def _runs(self, line: fonts.ShapedLine, x_pt: float, y_pt: float, size_pt: float) -> None:
        text = self.canvas.beginText()
        for run in line.runs:
            text.setTextOrigin(x_pt + mm_to_pt(run.x * size_pt), y_pt)
            text.setFont(run.font, size_pt)
            text.textOut(run.text)
        self.canvas.drawText(text)

    def _rectangle(self, mark: Rectangle, page_mm: float) -> None:
        corner = (mark.x_mm, page_mm - mark.y_mm - mark.height_mm, mark.width_mm, mark.height_mm)
        self.canvas.setLineWidth(mark.line_pt)
        self.canvas.setFillGray(mark.grey or 0.0)
        stroke, fill = int(mark.line_pt > 0), int(mark.grey is not None)
        self.canvas.rect(*map(mm_to_pt, corner), stroke=stroke, fill=fill)
        self.canvas.setFillGray(0.0)


def _bars(mark: Symbol, page_mm: float) -> Iterator[str]:
    """Yield PDF rectangles, one for each run of dark modules in a row."""
    module, left = mm_to_pt(mark.module_mm), mm_to_pt(mark.x_mm)
    top_mm = mark.y_mm
    for row, height_mm in zip(mark.rows, mark.heights_mm, strict=True):
        top_mm += height_mm
        foot, height = mm_to_pt(page_mm - top_mm), mm_to_pt(height_mm)
        for run in DARK.finditer(row):
            start, end = run.span()
            yield f"{left + start * module:.4f} {foot:.4f} {(end - start) * module:.4f} {height:.4f} re"
