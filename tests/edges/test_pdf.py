"""The PDF file: right size, right text, fonts inside, the same bytes each time, and whole or not at all."""

import errno
import io
import re
import shutil
import subprocess
import unicodedata
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from intake.edges import fonts, pdf
from intake.edges.atomic_write import write_whole
from intake.errors import FileError
from intake.model.pages import Align, Bookmark, Page, PlacedPicture, Rectangle, RuledLine, Symbol, Text
from tests.edges.test_fonts import LINES


def page(*texts: str) -> Page:
    return Page(100.0, 80.0, tuple(Text(10, 10 + 8 * n, text, 12, bold=n % 2 == 1) for n, text in enumerate(texts)))


def extracted(data: bytes) -> str:
    return str(pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()).replace("\r\n", "\n")


@pytest.mark.parametrize("script", [script for script in LINES if script != "emoji"])
def test_text_comes_back_from_the_file(script: str) -> None:
    # PDFium and poppler's pdftotext each read a file in their own way; both are to find the letters as they were typed.
    text = unicodedata.normalize("NFC", LINES[script][0])
    data, report = pdf.draw([page(text, text)], title="test")
    assert extracted(data) == f"{text}\n{text}"
    assert (report.pages, report.missing) == (1, ())
    if shutil.which("pdftotext"):
        read = subprocess.run(["pdftotext", "-", "-"], input=data, capture_output=True, check=True).stdout.decode()
        assert list(filter(None, re.sub("[\u202a-\u202c\x0c]", "", read).split("\n"))) == [text, text]


def test_what_no_font_has_is_reported() -> None:
    data, report = pdf.draw([page("a\U00013000b")], title="test")
    assert report.missing == ("\U00013000",)
    assert "\ufffd" in extracted(data)


def test_every_font_is_embedded() -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    data, _ = pdf.draw([page("Gräser", "אבג 鳥", "Ж हिन्दी")], title="test")
    used = [font.get_object() for font in pypdf.PdfReader(io.BytesIO(data)).pages[0]["/Resources"]["/Font"].values()]
    assert len(used) >= 4
    for font in used:
        assert "/FontFile2" in font["/DescendantFonts"][0]["/FontDescriptor"]


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
def test_the_file_is_well_formed(tmp_path: Path) -> None:
    marks = (Bookmark(10, "Fähre 鳥"), *page("Gräser", "אבג 鳥", "हिन्दी \U00013000 a\u00a0b").marks)
    path = tmp_path / "x.pdf"
    path.write_bytes(pdf.draw([Page(100, 80, marks)], title="鳥", author="Ürs", subject="(a) \\")[0])
    checked = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True, check=False)
    assert checked.returncode == 0, checked.stdout
    assert "PDF Version: 1.7" in checked.stdout


def test_the_file_says_what_it_is() -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    made = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)
    marks = (Bookmark(20, "Fähre 鳥"), Text(10, 30, "x", 12))
    pages = [page("x"), Page(100, 80, marks)]
    reader = pypdf.PdfReader(io.BytesIO(pdf.draw(pages, title="Gräser 鳥", author="Ürs", made=made)[0]))
    assert (reader.metadata.title, reader.metadata.author, reader.metadata.creation_date) == ("Gräser 鳥", "Ürs", made)
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert reader.xmp_metadata.dc_title == {"x-default": "Gräser 鳥"}
    (entry,) = reader.outline
    assert (entry.title, reader.get_destination_page_number(entry)) == ("Fähre 鳥", 1)


def test_the_page_has_its_size_and_asks_for_no_scaling() -> None:
    data, _ = pdf.draw([page("x")], title="test")
    size = pypdfium2.PdfDocument(data)[0].get_size()
    assert size == pytest.approx((100 / 25.4 * 72, 80 / 25.4 * 72), abs=0.01)
    with pikepdf.open(io.BytesIO(data)) as file:
        assert file.Root.ViewerPreferences.PrintScaling == pikepdf.Name("/None")


def test_the_same_pages_give_the_same_bytes() -> None:
    made = datetime(2026, 5, 4, 10, 30, tzinfo=UTC)
    first = pdf.draw([page("x", "鳥")], title="t", made=made)
    fonts.prepare("Ж 鳥の島 that other papers had")
    assert pdf.draw([page("x", "鳥")], title="t", made=made) == first
    assert pdf.draw([page("x", "鳥")], title="t", made=made + timedelta(1)) != first


def test_the_moment_of_making_can_be_named(monkeypatch: pytest.MonkeyPatch) -> None:
    # SOURCE_DATE_EPOCH, https://reproducible-builds.org/specs/source-date-epoch: seconds since 1970.
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    data, _ = pdf.draw([page("x")], title="t")
    assert pypdfium2.PdfDocument(data).get_metadata_dict()["CreationDate"] == "D:19700102000000Z"


def test_marks_are_where_they_should_be() -> None:
    png = io.BytesIO()
    Image.new("L", (4, 4), 0).save(png, "PNG")
    marks = (
        Rectangle(10, 10, 20, 5, line_pt=0, grey=0.0),
        RuledLine(10, 30, 40, 30, 2.0),
        Symbol(50, 10, 2.0, ("101", "010"), (2.0, 4.0)),
        PlacedPicture(10, 50, 10, 10, png.getvalue()),
        Text(90, 60, "x", 10, align=Align.RIGHT, rotation_deg=90),
    )
    dpi = 254  # ten pixels a millimetre
    data, _ = pdf.draw([Page(100, 80, marks)], title="test")
    grey = np.asarray(pypdfium2.PdfDocument(data)[0].render(scale=dpi / 72).to_pil().convert("L"))

    def dark(x_mm: float, y_mm: float) -> bool:
        return bool(grey[round(y_mm * 10), round(x_mm * 10)] < 128)

    assert dark(10.2, 10.2)
    assert dark(29.8, 14.8)
    assert not dark(30.3, 12)
    assert not dark(20, 15.3)
    assert dark(39, 30)
    assert [dark(51 + 2 * n, 11) for n in range(3)] == [True, False, True]
    assert [dark(51 + 2 * n, 15.5) for n in range(3)] == [False, True, False]
    assert dark(15, 55)
    assert not dark(21, 55)


def test_it_is_saved_under_its_name_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "Küste 鳥.pdf"
    data, report = pdf.draw([page("x"), page("y")], title="Gräser")
    write_whole(path, data)
    assert report.pages == 2
    assert list(tmp_path.iterdir()) == [path]
    assert pypdfium2.PdfDocument(path.read_bytes()).get_metadata_dict()["Title"] == "Gräser"


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "list.pdf"
    path.write_bytes(b"old")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("intake.edges.atomic_write.os.fsync", full)
    with pytest.raises(FileError) as caught:
        write_whole(path, b"new")
    assert "space" in caught.value.remedy
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        write_whole(tmp_path / "no" / "list.pdf", b"new")
