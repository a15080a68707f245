"""Drawing pages as a PDF file (ISO 32000-1), at exact size, with embedded fonts.

The file is tagged: it tells its headings, tables and figures in the order of reading. The same pages give the same
bytes where they are made at the same moment. Symbols are filled paths whose modules have their exact width. The file
tells the printing program not to scale; whether the printer complies can be checked with a ruler. Only this module,
`pdf_fonts` and `pdf_structure` know the PDF library.
"""

import hashlib
import io
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from itertools import groupby
from operator import attrgetter

import pikepdf
from PIL import Image

from intake.edges import clock, fonts
from intake.edges.catalogues import ENGLISH
from intake.edges.font_files import LoadedFont
from intake.edges.pdf_fonts import FileFont
from intake.edges.pdf_structure import Box, DocumentTree, printable
from intake.model.pages import (
    Align,
    Bookmark,
    ContentOf,
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
from intake.units.language import spoken

CREATOR = "book-intake"
DARK = re.compile("1+")


def draw(
    pages: Iterable[Page], *, title: str, author: str = "", subject: str = "", made: datetime | None = None
) -> tuple[bytes, PrintReport]:
    """Return pages as a PDF file.

    Args:
        pages: in order.
        title: shown by viewers instead of the file name.
        author: the owner of the list.
        subject: the text of its proof, which is read from here when the file is verified.
        made: when; None for now.

    Returns:
        The bytes of the file; the number of pages, and the letters that could not be printed.
    """
    file = _PdfFile()
    for page in pages:
        file.add(page)
    moment = made or clock.making()
    with file.pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as about:
        about["dc:title"] = title
        about["dc:language"] = {_language()}
        about["xmp:CreatorTool"] = CREATOR
        about["xmp:CreateDate"] = moment.isoformat(timespec="seconds")
        if author:
            about["dc:creator"] = [author]
        if subject:
            about["dc:description"] = printable(subject)
    date = moment.astimezone(UTC).strftime("D:%Y%m%d%H%M%SZ")
    info = {"Title": title, "Author": author, "Subject": subject, "Creator": CREATOR, "CreationDate": date}
    for name, text in info.items():
        file.pdf.docinfo[f"/{name}"] = pikepdf.String(printable(text))
    return file.finish(), PrintReport(pages=file.count, missing=tuple(file.missing))


class _PdfFile:
    """A PDF file being made."""

    def __init__(self) -> None:
        self.pdf = pikepdf.new()
        self.fonts: dict[LoadedFont, FileFont] = {}
        self.font_places = self.pdf.make_indirect(pikepdf.Dictionary())
        self.pictures: dict[bytes, tuple[str, pikepdf.Object]] = {}
        self.tree = DocumentTree(self.pdf)
        self.sections: list[tuple[int, float, str]] = []
        self.missing: dict[str, None] = {}
        self.count = 0

    def add(self, page: Page) -> None:
        """Add a page."""
        shown: dict[str, pikepdf.Object] = {}
        size = [0, 0, round(mm_to_pt(page.width_mm), 4), round(mm_to_pt(page.height_mm), 4)]
        leaf = self.pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.Page, MediaBox=size))
        self.tree.begin_page(leaf)
        operators = [line for mark in page.marks for line in self._draw(mark, page.height_mm, shown)]
        operators += self.tree.end_page()
        leaf.Resources = pikepdf.Dictionary(Font=self.font_places)
        if shown:
            leaf.Resources.XObject = pikepdf.Dictionary(shown)
        leaf.Contents = self.pdf.make_stream("\n".join(operators).encode("ascii"))
        self.pdf.pages.append(pikepdf.Page(leaf))
        self.count += 1

    def finish(self) -> bytes:
        """Return the bytes of the file."""
        for font in self.fonts.values():
            place = self.pdf.make_indirect(pikepdf.Dictionary())
            font.embed(self.pdf, place)
            self.font_places[f"/{font.name}"] = place
        root = self.pdf.Root
        root.Lang = pikepdf.String(_language())
        root.ViewerPreferences = pikepdf.Dictionary(PrintScaling=pikepdf.Name("/None"), DisplayDocTitle=True)
        self._bookmarks()
        self.tree.embed()
        out = io.BytesIO()
        # Objects are packed, a tagged file being twice as large otherwise; the metadata, with the proof, never are.
        self.pdf.save(
            out, min_version="1.7", object_stream_mode=pikepdf.ObjectStreamMode.generate, deterministic_id=True
        )
        return out.getvalue()

    def _bookmarks(self) -> None:
        with self.pdf.open_outline() as outline:
            for page, top_pt, title in self.sections:
                outline.root.append(pikepdf.OutlineItem(title, page, page_location="XYZ", left=0, top=top_pt, zoom=0))

    def _draw(self, mark: Mark, page_mm: float, shown: dict[str, pikepdf.Object]) -> Iterator[str]:
        match mark:
            case ContentOf():
                self.tree.turn_to(mark.element)
            case Text():
                yield from self.tree.text()
                if self.tree.goes_on(mark.text):
                    yield from self._text(_space_before(mark), page_mm)
                yield from self._text(mark, page_mm)
            case RuledLine():
                x1, y1, x2, y2 = map(mm_to_pt, (mark.x1_mm, page_mm - mark.y1_mm, mark.x2_mm, page_mm - mark.y2_mm))
                yield from self.tree.decoration()
                yield f"{mark.width_pt:.3f} w {x1:.3f} {y1:.3f} m {x2:.3f} {y2:.3f} l S"
            case Rectangle():
                yield from self.tree.decoration()
                yield _rectangle(mark, page_mm)
            case Symbol():
                yield from self.tree.figure(mark.alt, _box(mark, page_mm))
                yield from _bars(mark, page_mm)
                yield "f"
            case PlacedPicture():
                name = self._picture(mark.data, shown)
                corner = (mark.width_mm, mark.height_mm, mark.x_mm, page_mm - mark.y_mm - mark.height_mm)
                width, height, x, y = map(mm_to_pt, corner)
                yield from self.tree.figure(mark.alt, _box(mark, page_mm))
                yield f"q {width:.3f} 0 0 {height:.3f} {x:.3f} {y:.3f} cm /{name} Do Q"
            case Bookmark():
                self.sections.append((self.count, mm_to_pt(page_mm - mark.y_mm), mark.title))

    def _text(self, mark: Text, page_mm: float) -> Iterator[str]:
        line = fonts.prepare(mark.text, bold=mark.bold)
        self.missing.update(dict.fromkeys(line.missing))
        back = {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[mark.align] * line.unit * mark.size_pt
        where = f"{mm_to_pt(mark.x_mm - back):.3f} {mm_to_pt(page_mm - mark.y_mm):.3f} Td"
        if mark.rotation_deg:
            where = _turned(mark, back, page_mm)
        if line.font is not None:
            font = self._font(line.font)
            shown = "\n".join(font.operators(line.parts, mark.size_pt))
            yield f"BT {where} /{font.name} {mark.size_pt:g} Tf {shown} ET"
            return
        yield f"BT {where}"
        for backwards, group in groupby(line.parts, key=attrgetter("backwards")):
            parts = list(group)
            beside = not backwards and not all(part.is_told for part in parts)
            if beside:
                words = "".join(part.text for part in parts)
                yield f"/Span <</ActualText <feff{words.encode('utf-16-be').hex()}>>> BDC"
            for key, same in groupby(parts, key=attrgetter("font")):
                font = self._font(key)
                yield f"/{font.name} {mark.size_pt:g} Tf"
                yield from font.operators(same, mark.size_pt)
            if beside:
                yield "EMC"
        yield "ET"

    def _font(self, key: LoadedFont) -> FileFont:
        if key not in self.fonts:
            self.fonts[key] = FileFont(key, f"F{len(self.fonts) + 1}")
        return self.fonts[key]

    def _picture(self, data: bytes, shown: dict[str, pikepdf.Object]) -> str:
        """Return the name of a picture, which is in the file once however often it is shown."""
        digest = hashlib.sha256(data).digest()
        if digest not in self.pictures:
            self.pictures[digest] = (f"P{len(self.pictures) + 1}", _embed_picture(self.pdf, data))
        name, picture = self.pictures[digest]
        shown[f"/{name}"] = picture
        return name


def _space_before(mark: Text) -> Text:
    """Return a space before a line that goes on from another, lest two words are read as one (14.8.2.5)."""
    back = {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}[mark.align]
    line, space = (fonts.prepare(text, bold=mark.bold).unit * mark.size_pt for text in (mark.text, " "))
    turn, along = math.radians(mark.rotation_deg), back * line + space
    x, y = mark.x_mm - along * math.cos(turn), mark.y_mm + along * math.sin(turn)
    return replace(mark, x_mm=x, y_mm=y, text=" ", align=Align.LEFT)


def _turned(mark: Text, back_mm: float, page_mm: float) -> str:
    """Return the operator that moves to where a turned line begins, and turns there."""
    turn = math.radians(mark.rotation_deg)
    cosine, sine = math.cos(turn), math.sin(turn)
    x, y = mm_to_pt(mark.x_mm - back_mm * cosine), mm_to_pt(page_mm - mark.y_mm - back_mm * sine)
    return f"{cosine:.6f} {sine:.6f} {-sine:.6f} {cosine:.6f} {x:.3f} {y:.3f} Tm"


def _rectangle(mark: Rectangle, page_mm: float) -> str:
    corner = (mark.x_mm, page_mm - mark.y_mm - mark.height_mm, mark.width_mm, mark.height_mm)
    path = " ".join(f"{mm_to_pt(side):.3f}" for side in corner) + " re"
    if mark.grey is None:
        return f"{mark.line_pt:.3f} w {path} S" if mark.line_pt > 0 else ""
    paint = "B" if mark.line_pt > 0 else "f"
    return f"q {mark.grey:.3f} g {mark.line_pt:.3f} w {path} {paint} Q"


def _box(mark: Symbol | PlacedPicture, page_mm: float) -> Box:
    left, top = mark.x_mm, page_mm - mark.y_mm
    sides = map(mm_to_pt, (left, top - mark.height_mm, left + mark.width_mm, top))
    return next(sides), next(sides), next(sides), next(sides)


def _bars(mark: Symbol, page_mm: float) -> Iterator[str]:
    """Yield rectangles, one for each run of dark modules in a row."""
    module, left = mm_to_pt(mark.module_mm), mm_to_pt(mark.x_mm)
    top_mm = mark.y_mm
    for row, height_mm in zip(mark.rows, mark.heights_mm, strict=True):
        top_mm += height_mm
        foot, height = mm_to_pt(page_mm - top_mm), mm_to_pt(height_mm)
        for run in DARK.finditer(row):
            start, end = run.span()
            yield f"{left + start * module:.4f} {foot:.4f} {(end - start) * module:.4f} {height:.4f} re"


def _embed_picture(pdf: pikepdf.Pdf, data: bytes) -> pikepdf.Object:
    """Embed a picture: a JPEG in grey or in colours as it is, any other by its pixels on white."""
    with Image.open(io.BytesIO(data)) as picture:
        width, height = picture.size
        keys = {
            "/Type": pikepdf.Name.XObject,
            "/Subtype": pikepdf.Name.Image,
            "/Width": width,
            "/Height": height,
            "/BitsPerComponent": 8,
        }
        if picture.format == "JPEG" and picture.mode in ("L", "RGB"):
            space = pikepdf.Name.DeviceGray if picture.mode == "L" else pikepdf.Name.DeviceRGB
            return pdf.make_stream(data, keys | {"/ColorSpace": space, "/Filter": pikepdf.Name.DCTDecode})
        flat = picture.convert("RGBA")
        white = Image.new("RGBA", flat.size, "white")
        pixels = Image.alpha_composite(white, flat).convert("RGB").tobytes()
    return pdf.make_stream(pixels, keys | {"/ColorSpace": pikepdf.Name.DeviceRGB})


def _language() -> str:
    """Return the language that the words of the paper are in, beside what is recorded."""
    language = spoken()
    return ENGLISH if language is None else language.tag
