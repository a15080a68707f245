"""The PDF file: right size, right text, fonts inside, the same bytes each time, and whole or not at all."""

import errno
import io
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from intake.edges import pdf
from intake.edges.atomic_write import write_whole
from intake.errors import FileError
from intake.model.pages import Align, Page, PlacedPicture, Rectangle, RuledLine, Symbol, Text


def page(*texts: str) -> Page:
    return Page(100.0, 80.0, tuple(Text(10, 10 + 8 * n, text, 12, bold=n % 2 == 1) for n, text in enumerate(texts)))


def extracted(data: bytes) -> str:
    return str(pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()).replace("\r\n", "\n")


@pytest.mark.parametrize(
    "text",
    [
        "Die Gräser der Küste",
        "Ἡ νῆσος τῶν ὀρνίθων",
        "Остров птиц",
        "鳥の島 図鑑",
        "简体鸟类",
        "한국의 새",
        "ציפורי האי",
    ],
)
def test_text_comes_back_from_the_file(text: str) -> None:
    data, report = pdf.draw([page(text, text)], title="test")
    assert extracted(data) == f"{text}\n{text}"
    assert (report.pages, report.missing) == (1, ())


def test_what_no_font_has_is_reported() -> None:
    data, report = pdf.draw([page("a\U00013000b")], title="test")
    assert report.missing == ("\U00013000",)
    assert "\ufffd" in extracted(data)


def test_every_font_is_embedded() -> None:
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    data, _ = pdf.draw([page("Gräser", "אבג 鳥", "Ж")], title="test")
    used = pypdf.PdfReader(io.BytesIO(data)).pages[0]["/Resources"]["/Font"]
    described = [font.get_object() for font in used.values() if "/FontDescriptor" in font.get_object()]
    assert len(described) >= 3
    assert all("/FontFile2" in font["/FontDescriptor"] for font in described)


def test_the_page_has_its_size_and_asks_for_no_scaling() -> None:
    data, _ = pdf.draw([page("x")], title="test")
    size = pypdfium2.PdfDocument(data)[0].get_size()
    assert size == pytest.approx((100 / 25.4 * 72, 80 / 25.4 * 72), abs=0.01)
    assert b"/PrintScaling /None" in data


def test_the_same_pages_give_the_same_bytes() -> None:
    assert pdf.draw([page("x", "鳥")], title="t") == pdf.draw([page("x", "鳥")], title="t")


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
