"""A proof's words come back out of every kind of file that carries them, and out of a picture of the symbol."""

from pathlib import Path

import pypdfium2
import pytest

from intake.documents.page_flow import Head, Sheet
from intake.documents.proof_block import set_proof
from intake.edges import fonts, pdf, proof_files, sheets, workbook_writer
from intake.errors import FileError

WORDS = (
    "intake-proof 1; list=customs list; date=2026-05-01; of=consignment C%2B1; values=latest; copies=72; unvalued=27; "
    "total=EUR 1450.00 agreed 1; total=EUR 1296.00 market 9; total=USD 787.45 purchase 8; entry=119; head=" + "0f" * 32
)


def paper(folder: Path) -> Path:
    sheet = Sheet(Head("Test", "x"), fonts.measure)
    set_proof(sheet, WORDS)
    path = folder / "list.pdf"
    path.write_bytes(pdf.draw(sheet.finish(), title="Test", subject=WORDS)[0])
    return path


def test_out_of_the_files_that_carry_it(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(sheets.csv_bytes(("Copy", "Proof"), [("A1", WORDS), ("A2", "")]))
    (tmp_path / "list.xlsx").write_bytes(workbook_writer.xlsx_bytes(("Copy",), [("A1",)], title="Test", proof=WORDS))
    paper(tmp_path)
    for name in ("list.csv", "list.xlsx", "list.pdf"):
        assert WORDS in proof_files.read_texts(tmp_path / name), name


@pytest.mark.parametrize("dpi", [150, 300])
def test_out_of_a_picture_of_the_page(tmp_path: Path, dpi: int) -> None:
    with pypdfium2.PdfDocument(paper(tmp_path)) as document:
        document[0].render(scale=dpi / 72).to_pil().save(tmp_path / "scan.png")
    assert proof_files.read_texts(tmp_path / "scan.png") == (WORDS,)


def test_the_page_says_the_same_in_letters(tmp_path: Path) -> None:
    with pypdfium2.PdfDocument(paper(tmp_path)) as document:
        text = str(document[0].get_textpage().get_text_range())
    assert "".join(WORDS.split()) in "".join(text.split())


def test_a_file_that_is_none_of_them(tmp_path: Path) -> None:
    (tmp_path / "broken.xlsx").write_bytes(b"PK")
    with pytest.raises(FileError):
        proof_files.read_texts(tmp_path / "broken.xlsx")
    with pytest.raises(FileError):
        proof_files.read_texts(tmp_path / "gone.pdf")
    (tmp_path / "other.pdf").write_bytes(b"%PDF-1.4 nothing")
    assert not any(text.startswith("intake-proof") for text in proof_files.read_texts(tmp_path / "other.pdf"))
