"""What a file says of its parts, as poppler's pdfinfo reads it aloud: headings, facts, tables, figures, in order."""

import io
import re
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from intake.documents.page_flow import Head, Sheet, TableColumn
from intake.documents.symbol_drawing import SymbolFrame
from intake.documents.symbol_drawing import draw as draw_symbol
from intake.edges import fonts, pdf
from intake.model.pages import Page, PlacedPicture, Text
from intake.model.papers import SymbolKind

READER = shutil.which("pdfinfo")
COLUMNS = [TableColumn("Copy", 1.0, bold=True), TableColumn("Title", 3.0)]
LONG = "Ferns of the Outer Isles and their Relatives near Land-Atlas Bay, with Notes on Grasses, Mosses and Sedges"


def written(folder: Path, sheet: Sheet) -> Path:
    path = folder / "paper.pdf"
    path.write_bytes(pdf.draw(sheet.finish(), title="Test")[0])
    return path


def read_aloud(path: Path) -> list[tuple[str, str]]:
    """Return the parts that have words, each as its kind and its words, in the order in which a reader has them."""
    told = subprocess.run(["pdfinfo", "-struct-text", path], capture_output=True, check=True, text=True).stdout
    parts: list[tuple[str, str]] = []
    for line in told.splitlines():
        kind = re.match(r"\s*([A-Z]\w*)(?: \(\w+\))?:?$", line)
        if kind:
            parts.append((kind[1], ""))
        elif line.strip().startswith('"'):
            parts[-1] = (parts[-1][0], parts[-1][1] + line.strip().strip('"'))
    return [part for part in parts if part[1]]


@pytest.mark.skipif(READER is None, reason="poppler's pdfinfo is not installed")
def test_a_list_is_read_aloud_as_it_is_meant(tmp_path: Path) -> None:
    sheet = Sheet(Head("Packing list", "B2-47", [("Consignment", "C-1"), ("Note", "")]), fonts.measure)
    sheet.heading("What is in it")
    sheet.paragraph("Two people lift it. " * 12)
    sheet.table(COLUMNS, [("A19-91", LONG), ("A27-19", ""), ("A63-83", "鳥の島")])
    assert read_aloud(written(tmp_path, sheet)) == [
        ("H1", "Packing list"),
        ("P", "B2-47"),
        ("Lbl", "Consignment"),
        ("LBody", "C-1"),
        ("H2", "What is in it"),
        ("P", ("Two people lift it. " * 12).strip()),
        ("TH", "Copy"),
        ("TH", "Title"),
        ("TD", "A19-91"),
        ("TD", LONG),
        ("TD", "A27-19"),
        ("TD", "A63-83"),
        ("TD", "鳥の島"),
    ]


@pytest.mark.skipif(READER is None, reason="poppler's pdfinfo is not installed")
def test_what_goes_on_on_the_next_page_is_read_once_and_as_one(tmp_path: Path) -> None:
    # Rows over several pages, of which one is longer than a page: heads, sums and page numbers are not read again.
    words = " ".join(f"word{n}" for n in range(1400))
    rows = [*((f"A{n}-10", LONG) for n in range(60)), ("A99-10", words), ("A100-10", "the last")]
    sheet = Sheet(Head("Inventory", "2026"), fonts.measure)
    sheet.table(COLUMNS, rows, so_far=lambda done: f"{done} copies")
    path = written(tmp_path, sheet)
    with pikepdf.open(path) as file:
        assert len(file.pages) > 3
    told = [*(("TH", column.head) for column in COLUMNS), *(("TD", text) for row in rows for text in row)]
    assert read_aloud(path) == [("H1", "Inventory"), ("P", "2026"), *told]


def test_every_row_has_its_cells_and_every_content_its_part(tmp_path: Path) -> None:
    # ISO 32000-1, 14.7.4.4: the parent tree leads from each numbered content of a page to its part.
    sheet = Sheet(Head("Inventory", "2026"), fonts.measure)
    sheet.table(COLUMNS, [(f"A{n}-10", LONG if n % 3 else "") for n in range(70)])
    with pikepdf.open(written(tmp_path, sheet)) as file:
        assert file.Root.MarkInfo.Marked
        assert file.Root.Lang == "en"
        table = next(part for part in file.Root.StructTreeRoot.K.K if part.S == "/Table")
        assert [[str(cell.S) for cell in row.K] for row in table.K] == [["/TH"] * 2, *[["/TD"] * 2] * 70]
        assert {str(cell.A.Scope) for cell in table.K[0].K} == {"/Column"}
        parents = file.Root.StructTreeRoot.ParentTree.Nums
        for nth, page in enumerate(file.pages):
            operations = list(pikepdf.parse_content_stream(page))
            begun = [str(one.operands[0]) for one in operations if str(one.operator) in ("BDC", "BMC")]
            numbers = [int(one.operands[1].MCID) for one in operations if str(one.operator) == "BDC"]
            assert begun.count("/Artifact") >= 2  # the rules, and the number of the page
            assert page.obj.StructParents == parents[2 * nth] == nth
            kinds = [str(part.S) for part in parents[2 * nth + 1]]
            assert numbers == list(range(len(kinds)))
            assert kinds == [kind for kind in begun if kind != "/Artifact"]


def test_words_from_right_to_left_are_told_as_they_were_typed(tmp_path: Path) -> None:
    title = "ציפורי החוף והאיים Land-Atlas, " * 6
    sheet = Sheet(Head("Inventory", "2026"), fonts.measure)
    sheet.table(COLUMNS, [("A1-10", title.strip())])
    with pikepdf.open(written(tmp_path, sheet)) as file:
        table = file.Root.StructTreeRoot.K.K[-1]
        first, second = table.K[1].K
        assert str(second.ActualText) == title.strip()
        assert "/ActualText" not in first


def test_pictures_and_symbols_have_words_in_their_place_and_labels_are_paragraphs() -> None:
    symbol = draw_symbol(SymbolKind.QR, "A19-91", SymbolFrame(20, 20, 30, 30), (0.5, 0.6))
    out = io.BytesIO()
    Image.new("RGB", (20, 10), "grey").save(out, "PNG")
    picture = PlacedPicture(10, 10, 2, 1, out.getvalue(), "A19-91 torn jacket")
    page = Page(60, 60, (Text(5, 5, "A19-91", 9), *symbol, picture, Text(5, 55, "Study", 9)))
    data, _ = pdf.draw([page], title="Labels")
    with pikepdf.open(io.BytesIO(data)) as file:
        parts = list(file.Root.StructTreeRoot.K.K)
        assert [str(part.S) for part in parts] == ["/P", "/Figure", "/Figure", "/P"]
        assert [str(part.Alt) for part in parts[1:3]] == ["qr: A19-91", "A19-91 torn jacket"]
        # 60 mm of page: the picture is 10 mm from its top and left, 2 mm wide and 1 mm high.
        sides = [10 * 72 / 25.4, 49 * 72 / 25.4, 12 * 72 / 25.4, 50 * 72 / 25.4]
        assert [float(side) for side in parts[2].A.BBox] == pytest.approx(sides, abs=0.01)
