"""A page as SVG for a web page: the same marks as in the PDF, in the same millimetres.

The viewer's own sans-serif font is used, with text set to its width in the PDF; the viewer also orders right-to-left
text. SVG 1.1 (W3C Recommendation, 2011).
"""

import base64
import re
from collections.abc import Iterator
from xml.sax.saxutils import escape

from intake.edges import fonts
from intake.model.pages import Align, Mark, Page, PlacedPicture, Rectangle, RuledLine, Symbol, Text
from intake.units.convert import pt_to_mm

ANCHORS = {Align.LEFT: "start", Align.CENTRE: "middle", Align.RIGHT: "end"}
DARK = re.compile("1+")
UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""Characters that XML 1.0 does not allow."""


def draw(page: Page, *, title: str) -> str:
    """Return the page as SVG.

    Args:
        page: its marks in millimetres.
        title: the text alternative, for those who cannot see it.

    >>> draw(Page(10, 5, (RuledLine(1, 1, 9, 1),)), title="a line").splitlines()[-2]
    '<line x1="1" y1="1" x2="9" y2="1" stroke="black" stroke-width="0.141"/>'
    """
    width, height = _n(page.width_mm), _n(page.height_mm)
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" font-family="sans-serif">']
    lines.append(f"<title>{_escaped(title)}</title>")
    for mark in page.marks:
        lines += _drawn(mark)
    return "\n".join([*lines, "</svg>"])


def _drawn(mark: Mark) -> Iterator[str]:
    match mark:
        case Text():
            yield _text(mark)
        case RuledLine():
            ends = f'x1="{_n(mark.x1_mm)}" y1="{_n(mark.y1_mm)}" x2="{_n(mark.x2_mm)}" y2="{_n(mark.y2_mm)}"'
            yield f'<line {ends} stroke="black" stroke-width="{_n(pt_to_mm(mark.width_pt))}"/>'
        case Rectangle():
            fill = "none" if mark.grey is None else _grey(mark.grey)
            stroke = (
                f'stroke="black" stroke-width="{_n(pt_to_mm(mark.line_pt))}"' if mark.line_pt > 0 else 'stroke="none"'
            )
            yield f'<rect {_box(mark.x_mm, mark.y_mm, mark.width_mm, mark.height_mm)} fill="{fill}" {stroke}/>'
        case Symbol():
            yield f'<path d="{"".join(_modules(mark))}" fill="black"/>'
        case PlacedPicture():
            kind = "png" if mark.data.startswith(b"\x89PNG") else "jpeg"
            data = base64.b64encode(mark.data).decode()
            box = _box(mark.x_mm, mark.y_mm, mark.width_mm, mark.height_mm)
            yield f'<image {box} preserveAspectRatio="none" href="data:image/{kind};base64,{data}"/>'


def _text(mark: Text) -> str:
    where = f'x="{_n(mark.x_mm)}" y="{_n(mark.y_mm)}"'
    weight = ' font-weight="600"' if mark.bold else ""
    # SVG rotates clockwise, the marks of a page anticlockwise.
    turn = f' transform="rotate({_n(-mark.rotation_deg)} {_n(mark.x_mm)} {_n(mark.y_mm)})"' if mark.rotation_deg else ""
    anchor = f' text-anchor="{ANCHORS[mark.align]}"' if mark.align is not Align.LEFT else ""
    width = fonts.measure(mark.text, mark.size_pt, mark.bold)
    fitted = f' textLength="{_n(width)}" lengthAdjust="spacingAndGlyphs"' if width > 0 else ""
    size = f'font-size="{_n(pt_to_mm(mark.size_pt))}"'
    return f"<text {where} {size}{weight}{anchor}{fitted}{turn}>{_escaped(mark.text)}</text>"


def _modules(mark: Symbol) -> Iterator[str]:
    """Yield a path for each run of dark modules."""
    top = mark.y_mm
    for row, height in zip(mark.rows, mark.heights_mm, strict=True):
        for run in DARK.finditer(row):
            left, width = mark.x_mm + run.start() * mark.module_mm, (run.end() - run.start()) * mark.module_mm
            yield f"M{_n(left)} {_n(top)}h{_n(width)}v{_n(height)}h{_n(-width)}z"
        top += height


def _box(x: float, y: float, width: float, height: float) -> str:
    return f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'


def _grey(level: float) -> str:
    return "#" + f"{round(level * 255):02x}" * 3


def _escaped(text: str) -> str:
    return escape(UNPRINTABLE.sub("\ufffd", text))


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
