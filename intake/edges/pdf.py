"""Drawing pages as a PDF file (ISO 32000-1), at exact size, with embedded fonts.

The file is tagged: it tells its headings, tables and figures in the order of reading. The same pages give the same
bytes where they are made at the same moment. Symbols are filled paths whose modules have their exact width. The file
tells the printing program not to scale; whether the printer complies can be checked with a ruler. Fonts, tags, metadata
and the objects of the file itself have modules of their own beside this.
"""

import hashlib
import io
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from itertools import groupby
from operator import attrgetter

from PIL import Image

from intake.edges import clock, fonts
from intake.edges.catalogues import ENGLISH
from intake.edges.font_files import LoadedFont
from intake.edges.pdf_fonts import FileFont
from intake.edges.pdf_metadata import xmp_packet
from intake.edges.pdf_structure import Box, DocumentTree, printable
from intake.edges.pdf_writer import Name, PdfWriter, Ref, Value
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
    facts = {"Title": title, "Author": author, "Subject": subject, "Creator": CREATOR}
    info = {name: printable(text) for name, text in facts.items()}
    info["CreationDate"] = moment.astimezone(UTC).strftime("D:%Y%m%d%H%M%SZ")
    about = xmp_packet(
        title=title, author=author, subject=printable(subject), creator=CREATOR, language=_language(), made=moment
    )
    return file.finish(info, about), PrintReport(pages=file.count, missing=tuple(file.missing))


class _PdfFile:
    """A PDF file being made; each page is written when it is drawn."""

    def __init__(self) -> None:
        self.writer = PdfWriter()
        self.fonts: dict[LoadedFont, FileFont] = {}
        self.font_places, self.page_tree = self.writer.reserve(), self.writer.reserve()
        self.pictures: dict[bytes, tuple[str, Ref]] = {}
        self.tree = DocumentTree(self.writer)
        self.sections: list[tuple[int, float, str]] = []
        self.missing: dict[str, None] = {}
        self.count = 0

    def add(self, page: Page) -> None:
        """Add a page."""
        shown: dict[str, Value] = {}
        leaf = self.writer.reserve()
        self.tree.begin_page(leaf)
        operators = [line for mark in page.marks for line in self._draw(mark, page.height_mm, shown)]
        operators += self.tree.end_page()
        places: dict[str, Value] = {"Font": self.font_places}
        entries: dict[str, Value] = {
            "Type": Name("Page"),
            "Parent": self.page_tree,
            "MediaBox": [0, 0, round(mm_to_pt(page.width_mm), 4), round(mm_to_pt(page.height_mm), 4)],
            "Resources": places | ({"XObject": shown} if shown else {}),
            "Contents": self.writer.stream("\n".join(operators).encode("ascii"), {}),
            "StructParents": self.count,
            "Tabs": Name("S"),
        }
        self.writer.write(entries, leaf)
        self.count += 1

    def finish(self, info: Mapping[str, str], about: str) -> bytes:
        """Return the bytes of the file, given what it says of itself in two ways."""
        write, leaves = self.writer.write, self.tree.pages
        write({font.name: font.embed(self.writer) for font in self.fonts.values()}, self.font_places)
        write({"Type": Name("Pages"), "Kids": leaves, "Count": len(leaves)}, self.page_tree)
        self.tree.embed()
        root: dict[str, Value] = {
            "Type": Name("Catalog"),
            "Pages": self.page_tree,
            "Lang": _language(),
            "ViewerPreferences": {"PrintScaling": Name("None"), "DisplayDocTitle": True},
            "StructTreeRoot": self.tree.place,
            "MarkInfo": {"Marked": True},
            # The metadata, with the proof, are never packed, so that they can be found without reading the file.
            "Metadata": self.writer.stream(
                about.encode(), {"Type": Name("Metadata"), "Subtype": Name("XML")}, packed=False
            ),
        }
        if self.sections:
            root["Outlines"] = self._bookmarks()
        return self.writer.finish(write(root), info)

    def _bookmarks(self) -> Ref:
        """Write the bookmarks, each with the one before and after it (12.3.3)."""
        whole, places = self.writer.reserve(), [self.writer.reserve() for _ in self.sections]
        for nth, (page, top_pt, title) in enumerate(self.sections):
            entries: dict[str, Value] = {
                "Title": printable(title),
                "Parent": whole,
                "Dest": [self.tree.pages[page], Name("XYZ"), 0, top_pt, 0],
            }
            if nth:
                entries["Prev"] = places[nth - 1]
            if nth + 1 < len(places):
                entries["Next"] = places[nth + 1]
            self.writer.write(entries, places[nth])
        first, last = places[0], places[-1]
        return self.writer.write({"Type": Name("Outlines"), "First": first, "Last": last, "Count": len(places)}, whole)

    def _draw(self, mark: Mark, page_mm: float, shown: dict[str, Value]) -> Iterator[str]:
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

    def _picture(self, data: bytes, shown: dict[str, Value]) -> str:
        """Return the name of a picture, which is in the file once however often it is shown."""
        digest = hashlib.sha256(data).digest()
        if digest not in self.pictures:
            self.pictures[digest] = (f"P{len(self.pictures) + 1}", _embed_picture(self.writer, data))
        name, picture = self.pictures[digest]
        shown[name] = picture
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


def _embed_picture(file: PdfWriter, data: bytes) -> Ref:
    """Embed a picture: a JPEG in grey or in colours as it is, any other by its pixels on white."""
    with Image.open(io.BytesIO(data)) as picture:
        entries: dict[str, Value] = {
            "Type": Name("XObject"),
            "Subtype": Name("Image"),
            "Width": picture.width,
            "Height": picture.height,
            "BitsPerComponent": 8,
        }
        if picture.format == "JPEG" and picture.mode in ("L", "RGB"):
            space = Name("DeviceGray" if picture.mode == "L" else "DeviceRGB")
            return file.stream(data, {**entries, "ColorSpace": space, "Filter": Name("DCTDecode")}, packed=False)
        flat = picture.convert("RGBA")
        white = Image.new("RGBA", flat.size, "white")
        pixels = Image.alpha_composite(white, flat).convert("RGB").tobytes()
    return file.stream(pixels, {**entries, "ColorSpace": Name("DeviceRGB")})


def _language() -> str:
    """Return the language that the words of the paper are in, beside what is recorded."""
    language = spoken()
    return ENGLISH if language is None else language.tag
