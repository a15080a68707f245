"""Papers as files: what of a paper is in which kind of file, and that none is half written."""

import codecs
import csv
import io
from datetime import date
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.errors import FileError, RefusedError, UsageError
from intake.flow.papers import label_registry, registry
from intake.flow.papers.label_papers import LabelRun
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat
from intake.flow.papers.render import RenderedPaper, draw, format_of, print_paper, record_printed, render
from intake.flow.shelves.find_room import put
from intake.flow.unpacking.station import book_line
from intake.model.changes import ActionKind
from intake.model.papers import LabelUse
from intake.valuing import proof
from tests.flow.conftest import NOW

TODAY = date(2026, 3, 31)
OWNED = PaperOptions(owner="Ada Thorn", currency="EUR")


def made(library: Library, form: PaperFormat, options: PaperOptions = OWNED) -> RenderedPaper:
    return render(library, registry.INSURANCE, options, form, on=TODAY)


def test_a_csv_has_its_proof_in_a_column_of_its_own_in_the_first_row(library: Library) -> None:
    rows = list(csv.reader(io.StringIO(made(library, PaperFormat.CSV).data.decode("utf-8-sig"))))
    assert rows[0][-1] == "Proof"
    assert len(rows) == 6
    assert proof.parse(rows[1][-1]) is not None
    assert [row[-1] for row in rows[2:]] == [""] * 4
    assert {len(row) for row in rows} == {len(rows[0])}
    plain = render(library, registry.PACKING_LIST, PaperOptions(), PaperFormat.CSV, on=TODAY).data.decode("utf-8-sig")
    assert "Proof" not in plain.splitlines()[0]


def test_a_csv_begins_with_a_byte_order_mark_where_that_is_chosen(library: Library) -> None:
    plain, marked = (
        render(library, registry.INVENTORY, PaperOptions(marked=chosen), PaperFormat.CSV, on=TODAY).data
        for chosen in (False, True)
    )
    assert marked == codecs.BOM_UTF8 + plain


def test_a_workbook_has_its_rows_and_its_proof(library: Library) -> None:
    rendered = made(library, PaperFormat.XLSX)
    book = openpyxl.load_workbook(io.BytesIO(rendered.data))
    cells = [
        str(cell) for sheet in book.worksheets for row in sheet.iter_rows(values_only=True) for cell in row if cell
    ]
    assert {"A1-59", "A5-23"} <= set(cells)
    texts = [*cells, *(str(getattr(book.properties, name) or "") for name in ("subject", "description", "keywords"))]
    assert any(proof.parse(text) for text in texts)
    assert (rendered.report.pages, rendered.labels, rendered.to_record) == (1, None, None)


def test_a_pdf_says_whose_it_is_and_what_it_proves(library: Library) -> None:
    rendered = made(library, PaperFormat.PDF)
    with pypdfium2.PdfDocument(rendered.data) as document:
        about = document.get_metadata_dict()
        assert len(document) == rendered.report.pages
    assert about["Title"] == "Insurance schedule"
    assert about["Author"] == "Ada Thorn"
    assert proof.parse(about["Subject"]) is not None


def test_a_kind_of_file_that_the_paper_cannot_be(library: Library) -> None:
    with pytest.raises(UsageError):
        made(library, PaperFormat.SVG)
    with pytest.raises(UsageError):
        draw(label_registry.SHELF_LABELS, LabelRun(LabelUse.SHELF, ()), PaperOptions(), PaperFormat.CSV)


def test_a_paper_without_a_required_option_or_a_page_is_refused(library: Library) -> None:
    with pytest.raises(UsageError):
        render(library, registry.COPY, PaperOptions(), PaperFormat.PDF, on=TODAY)
    with pytest.raises(RefusedError):  # nothing stands on a shelf
        render(library, label_registry.COPY_FLAGS, label_registry.COPY_FLAGS.defaults, PaperFormat.PDF, on=TODAY)


def test_what_was_printed_is_recorded_once_it_is_saved(arrived: Library, tmp_path: Path) -> None:
    book_line(arrived, "1", "9780306406157", request="r1", station="test", now=NOW)
    put(arrived, "1", station="test", now=NOW)
    flags = label_registry.COPY_FLAGS
    with pytest.raises(FileError):
        print_paper(arrived, flags, flags.defaults, tmp_path / "none" / "flags.pdf", on=TODAY, station="hall")
    with arrived.reading() as records:
        before = ledger_head(records)
    rendered = print_paper(arrived, flags, flags.defaults, tmp_path / "flags.pdf", on=TODAY, station="hall")
    assert rendered.labels == 1
    assert (tmp_path / "flags.pdf").read_bytes() == rendered.data
    with arrived.reading() as records:
        entry = latest_entries(records, 1)[0]
        assert ledger_head(records) != before
    assert (entry.action.kind, entry.action.station) == (ActionKind.PRINT_FLAG_LABELS, "hall")
    with arrived.reading() as records:
        head = ledger_head(records)
    print_paper(arrived, flags, flags.defaults, tmp_path / "again.pdf", on=TODAY, station="hall")
    record_printed(arrived, RenderedPaper(b"", rendered.report), station="hall")
    with arrived.reading() as records:
        assert ledger_head(records) == head, "it says what it said"


@pytest.mark.parametrize(("name", "form"), [("a.pdf", "pdf"), ("a.PDF", "pdf"), ("a.b.csv", "csv"), ("a.Xlsx", "xlsx")])
def test_the_kind_of_file_is_the_end_of_its_name(name: str, form: str) -> None:
    assert format_of(registry.INSURANCE, Path(name)) == form
