"""A day at the trolley, typed."""

import io
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from tests.cli.conftest import Intake


def test_a_day_from_box_to_shelf(stocked: Intake, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("9780306406157\n\nold charts\n978-0-306-40615-8\n"))
    day = stocked("unpack", "1", "--no-ask")
    assert day.status == 0
    assert "A1-59  Ferns of the Outer Isles, vol. 1 (1990): listed in this box" in day.out
    assert "Study · A · 1" in day.out
    assert "query 1, titles like 'old charts'" in day.out
    assert "978-0-306-40615-7" in day.out
    pile = stocked("pile", "list")
    assert "Old Charts without a Number" in pile.out
    assert stocked("pile", "decide", "1", "--as", "listed:A4-32").status == 0
    assert stocked("pile", "decide", "2", "--not-a-book").status == 0
    assert stocked("pile", "list").out == "Nothing waits.\n"
    with_shelf = stocked("place", "list").out.splitlines()[1].split()[0]
    shelved = stocked("shelve", with_shelf, "1")
    assert shelved.out == "Copy A1-59 stands at A 1.\n"
    assert "770 mm" in stocked("place", "list").out
    finished = stocked("box", "finish", "1")
    assert "2 copies on its list are missing" in finished.out
    assert "A Guide to Gulls" in finished.out
    assert "missing" in stocked("find", "gulls").out
    assert "shelve copy" in stocked("history", "1").out
    assert "Took back entry" in stocked("undo").out
    assert stocked("check").status == 0
    assert "copies packed" in stocked("status").out
    assert stocked("backup", tmp_path / "copy.sqlite3").status == 0
    assert (tmp_path / "copy.sqlite3").stat().st_size > 0


def test_every_paper_is_printed(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "consignment.csv").write_text("reference,carrier,boxes\nR 1/2,Invented Haulage,all\n", encoding="utf-8")
    assert stocked("import", "consignment", "consignment.csv").status == 0
    jobs = (
        # One word of each page, in their order: a packing list is a page for each box, labels share a sheet.
        ("shelf-labels", ["S3-84"], ["S3-84"]),
        ("copy-flags", ["1", "2"], ["A2-50"]),
        ("box-labels", ["--template", "letter-2x5", "--start", "3"], ["B2-47"]),
        ("packing-list", ["--paper", "letter"], ["A4-32", "A5-23"]),
        ("master-list", ["R 1/2"], ["B2-47"]),
        ("inventory", ["--owner", "Mx Nobody"], ["Mx Nobody", "Witness"]),
    )
    for name, arguments, words in jobs:
        said = stocked("print", name, "-o", f"{name}.pdf", *arguments)
        assert said.status == 0, said.err
        with pypdfium2.PdfDocument(tmp_path / f"{name}.pdf") as document:
            pages = [page.get_textpage().get_text_range() for page in document]
        assert len(pages) == len(words), name
        assert [word for word, page in zip(words, pages, strict=True) if word not in page] == [], name
    assert stocked("print", "inventory", "-o", "inventory.xlsx").status == 0
    sheet = openpyxl.load_workbook(tmp_path / "inventory.xlsx").active
    assert sheet is not None
    assert [cell.value for cell in sheet[2]][:2] == ["A1-59", "Ferns of the Outer Isles"]
    assert stocked("print", "inventory", "-o", "inventory.csv").status == 0
    assert (tmp_path / "inventory.csv").read_bytes().count(b"\r\n") == 6


def test_a_new_box_is_packed(stocked: Intake) -> None:
    assert "is open" in stocked("box", "open", "--room", "Study", "--tare", "800 g", "--size", "400 x 300 x 300 mm").out
    assert "is in box B3-38" in stocked("pack", "3", "G2").out
    assert "14.00 kg" in stocked("box", "close", "3", "--gross", "14 kg", "--seal", "Q9").out
    assert "G2" not in stocked("box", "show", "3").out
    assert "A Guide to Gulls" in stocked("box", "show", "3").out
    assert "B3-38" in stocked("box", "list").out


def test_numbers_are_explained_the_librarys_own_first(stocked: Intake) -> None:
    good = stocked("explain", "978-0-306-40615-7", "51299")
    assert (good.status, "US$12.99" in good.out) == (0, True)
    wrong = stocked("explain", "9780306406158")
    assert wrong.status == 1
    assert "in this library" in wrong.out.splitlines()[1]


def test_a_label_among_the_scans_is_said_to_be_one_and_nothing_is_booked(
    stocked: Intake, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("S3-84\nB2-47\nS99-93\n"))
    head = stocked("check").out
    assert stocked("unpack", "1", "--no-ask").out.splitlines() == [
        "S3-84: a label (shelf Study · A · 1), nothing was booked",
        "B2-47: a label (box B2-47, Study), nothing was booked",
        "S99-93: a label (a box or a place that is not in this library), nothing was booked",
    ]
    assert stocked("check").out == head


def test_a_decision_of_the_query_pile_is_told_by_its_kind(stocked: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("1-85798-218-5\n9790000000001\n"))
    assert stocked("unpack", "1", "--no-ask").status == 0
    assert stocked("pile", "decide", "1", "--as", "new:4").out == "Query 1 is copy A6-14.\n"
    assert stocked("pile", "decide", "2", "--new-title", "Lichens by Lamplight").out == "Query 2 is copy A7-05.\n"
    again = stocked("pile", "decide", "1", "--not-a-book")
    assert (again.status, "was decided before (copy A6-14, which was on no list)" in again.err) == (1, True)
    history = stocked("history", "--limit", "2").out
    assert "decide query: a copy on no list" in history
    assert "decide query: a new edition" in history
    assert stocked("undo").out == "Took back entry 9, 'decide query: a new edition' of query 2, with entry 10.\n"
    done_again = "Did entry 9, 'decide query: a new edition' of query 2, again with entry 11.\n"
    assert stocked("undo", "10").out == done_again
