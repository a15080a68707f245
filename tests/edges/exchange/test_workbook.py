"""Workbooks written by openpyxl, xlsxwriter, xlwt and odfpy are read back; those that would hurt are refused."""

import zipfile
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
import xlwt
from odf import opendocument, table, text

from intake.edges.exchange import workbook
from intake.edges.exchange.list_file import open_table, table_kind
from intake.edges.exchange.table_cells import Cell, TableFacts, TableKind
from intake.errors import FileError

ROWS: list[list[str | int | float | date]] = [
    ["title", "isbn", "size"],
    ["Gräser", 9780306406157, 24.5],
    ["鳥の島", "030640615X", 3],
]


def read(path: Path, sheet: str = "") -> tuple[TableFacts, list[tuple[int, tuple[Cell, ...]]]]:
    with open_table(path, table_kind(path), sheet=sheet) as found:
        return found.facts, [(row.line, row.cells) for row in found]


def by_openpyxl(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = openpyxl.Workbook()
    for row in rows:
        book.worksheets[0].append(list(row))
    book.save(path)
    return path


def by_xlsxwriter(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    return path


def by_xlwt(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = xlwt.Workbook()
    sheet = book.add_sheet("A")
    for number, row in enumerate(rows):
        for place, cell in enumerate(row):
            sheet.write(number, place, cell)
    book.save(str(path))
    return path


def by_odfpy(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = opendocument.OpenDocumentSpreadsheet()
    sheet = table.Table(name="A")
    for row in rows:
        line = table.TableRow()
        for cell in row:
            kind = {"valuetype": "float", "value": cell} if isinstance(cell, int | float) else {"valuetype": "string"}
            field = table.TableCell(**kind)
            field.addElement(text.P(text=str(cell)))
            line.addElement(field)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(path))
    return path


@pytest.mark.parametrize("write", [by_openpyxl, by_xlsxwriter, by_xlwt, by_odfpy])
def test_what_other_libraries_write_is_read_whatever_its_name(tmp_path: Path, write: object) -> None:
    path = write(tmp_path / "list.csv", ROWS)  # type: ignore[operator] # one of the functions above
    _, rows = read(path)
    assert rows == [(number, tuple(row)) for number, row in enumerate(ROWS, start=1)]


@pytest.mark.parametrize("write", [by_openpyxl, by_xlsxwriter, by_xlwt, by_odfpy])
def test_a_table_that_begins_beside_and_below_the_corner_keeps_its_places(tmp_path: Path, write: object) -> None:
    assert callable(write)
    path = write(tmp_path / "list", [["", ""], ["", "", "x"], ["", "", "", "y"]])
    assert read(path)[1] == [(2, ("", "", "x")), (3, ("", "", "", "y"))]


@pytest.mark.parametrize("is_1904", [False, True])
def test_days_are_the_same_in_both_date_systems_of_ecma_376(tmp_path: Path, is_1904: bool) -> None:
    path = tmp_path / "days.xlsx"
    with xlsxwriter.Workbook(path, {"date_1904": is_1904}) as book:
        day = book.add_format({"num_format": "dd.mm.yyyy"})
        book.add_worksheet().write_datetime(0, 0, datetime(2026, 11, 26), day)  # noqa: DTZ001 - a wall clock
    assert read(path)[1] == [(1, (date(2026, 11, 26),))]


def test_serial_46352_is_26_november_2026(tmp_path: Path) -> None:
    # Serial dates: day 0 of the 1900 base is 30 December 1899 from serial 61 on.
    path = tmp_path / "serial.xlsx"
    with xlsxwriter.Workbook(path) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet = book.add_worksheet()
        for row, serial in enumerate((46352, 61)):
            sheet.write_number(row, 0, serial, day)
    days = [cells[0] for _, cells in read(path)[1]]
    assert days == [date(1899, 12, 30) + timedelta(46352), date(1900, 3, 1)]


def test_merged_cells_of_ods_are_counted(tmp_path: Path) -> None:
    """The library that reads ODS names no ranges; the attributes are those of OASIS Open Document 1.2, 9.1.4."""
    book = opendocument.OpenDocumentSpreadsheet()
    sheet, line = table.Table(name="A"), table.TableRow()
    for spans in ({"numbercolumnsspanned": 3}, {"numberrowsspanned": 12}, {"numbercolumnsspanned": 1}, {}):
        cell = table.TableCell(valuetype="string", **spans)
        cell.addElement(text.P(text="My books"))
        line.addElement(cell)
    sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "a.ods"))
    facts, _ = read(tmp_path / "a.ods")
    assert (facts.merged, facts.merged_count) == ((), 2)


def test_merged_cells_formulas_failures_and_other_sheets_are_told(tmp_path: Path) -> None:
    path = tmp_path / "all.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet("Empty")
        sheet = book.add_worksheet("Books")
        sheet.merge_range("A1:C1", "My books")
        sheet.write_formula("B2", "=1+1", None, 2)
        sheet.write_formula("C2", "=1/0", None, "#DIV/0!")
        book.add_worksheet("Maps").write(0, 0, "x")
        hidden = book.add_worksheet("Old")
        hidden.write(0, 0, "y")
        hidden.hide()
    facts, rows = read(path)
    assert rows == [(1, ("My books",)), (2, ("", 2))]
    assert (facts.sheet, facts.other_sheets) == ("Books", ("Maps", "Old"))
    assert (facts.merged, facts.merged_count, facts.formulas, facts.errors) == (("A1:C1",), 1, 2, 1)
    assert read(path, "Old")[1] == [(1, ("y",))]
    for sheet_name in ("Empty", "None such"):
        with pytest.raises(FileError):
            read(path, sheet_name)


def changed(source: Path, target: Path, part: str, old: bytes, new: bytes) -> Path:
    """Write a workbook anew with other bytes in one of its parts."""
    with zipfile.ZipFile(source) as before, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as after:
        for name in before.namelist():
            data = before.read(name)
            if name == part:
                assert old in data
                data = data.replace(old, new)
            after.writestr(name, data)
    return target


SHEET = "xl/worksheets/sheet1.xml"


def test_a_cell_in_the_last_corner_names_itself(tmp_path: Path) -> None:
    path = tmp_path / "corner.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.write("A1", "title")
        sheet.write("XFD1048576", "x")
    assert path.stat().st_size < 10_000
    with pytest.raises(FileError) as caught:
        read(path)
    assert "XFD1048576" in caught.value.why


def test_a_corner_that_the_look_beforehand_does_not_see_ends_the_child_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "corner.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.write("A1", "title")
        sheet.write("XFD1048576", "x")
    monkeypatch.setattr("intake.edges.exchange.workbook_guard.MOST_CELLS", 1 << 60)
    with pytest.raises(FileError):
        read(path)


def test_a_hundred_million_repeated_cells_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = by_odfpy(tmp_path / "a.ods", [["title"]])
    with zipfile.ZipFile(path) as book:
        content = book.read("content.xml")
    start = content.index(b"<table:table-cell")
    many = content[:start] + content[start:].replace(
        b"<table:table-cell", b'<table:table-cell table:number-columns-repeated="9900"', 1
    )
    many = many.replace(b"<table:table-row", b'<table:table-row table:number-rows-repeated="10000"', 1)
    monkeypatch.setattr(workbook, "MEMORY_BYTES", 1 << 29)
    with pytest.raises(FileError):
        read(changed(path, tmp_path / "b.ods", "content.xml", content, many))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("part", "old"),
    [(SHEET, b"<sheetData>"), ("xl/sharedStrings.xml", b"<si>"), ("xl/_rels/workbook.xml.rels", b"</Relationships>")],
)
def test_a_zip_bomb_is_refused_while_it_is_unpacked(tmp_path: Path, part: str, old: bytes) -> None:
    path = by_xlsxwriter(tmp_path / "a.xlsx", [["title"]])
    bomb = changed(path, tmp_path / "b.xlsx", part, old, old + b" " * (600 << 20))
    assert bomb.stat().st_size < 2_000_000
    with pytest.raises(FileError) as caught:
        read(bomb)
    assert "512 MB" in caught.value.why


def test_16384_columns_are_read(tmp_path: Path) -> None:
    ((_, cells),) = read(by_xlsxwriter(tmp_path / "wide.xlsx", [[f"c{n}" for n in range(16_384)]]))[1]
    assert len(cells) == 16_384


def test_a_cell_of_a_megabyte_names_itself(tmp_path: Path) -> None:
    path = by_openpyxl(tmp_path / "a.xlsx", [["title"], ["x", "MARK"]])
    with zipfile.ZipFile(path) as book:
        part = next(name for name in book.namelist() if b"MARK" in book.read(name))
    with pytest.raises(FileError) as caught:
        read(changed(path, tmp_path / "b.xlsx", part, b"MARK", b"M" * 1_000_000))
    assert "cell B2" in caught.value.why


def test_a_zip_of_something_else_and_other_files_are_named(tmp_path: Path) -> None:
    other = tmp_path / "list.xlsx"
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("word/document.xml", "<w/>")
    for data, name in ((other.read_bytes(), "text document"), (b"%PDF-1.7", "PDF"), (b"<html>", "web page")):
        other.write_bytes(data)
        with pytest.raises(FileError) as caught:
            table_kind(other)
        assert name in caught.value.why
    with pytest.raises(FileError):
        table_kind(tmp_path)


@pytest.mark.parametrize("keep", [100, 2000, -30])
def test_a_workbook_cut_off_is_one_sentence(tmp_path: Path, keep: int) -> None:
    path = by_xlsxwriter(tmp_path / "a.xlsx", ROWS)
    path.write_bytes(path.read_bytes()[:keep])
    with pytest.raises(FileError):
        read(path)
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 2000)
    with pytest.raises(FileError):
        read(path)


def test_entities_and_damage_inside_are_refused(tmp_path: Path) -> None:
    path = by_xlsxwriter(tmp_path / "a.xlsx", ROWS)
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><worksheet '
    made = changed(path, tmp_path / "b.xlsx", SHEET, b"<worksheet ", bomb)
    made = changed(made, tmp_path / "c.xlsx", SHEET, b"<v>24.5</v>", b"<v>&b;</v>")
    with pytest.raises(FileError):
        read(made)


def test_kinds_are_told_by_content(tmp_path: Path) -> None:
    assert table_kind(by_xlwt(tmp_path / "a", ROWS)) is TableKind.XLS
    assert table_kind(by_odfpy(tmp_path / "b", ROWS)) is TableKind.ODS
    assert table_kind(by_openpyxl(tmp_path / "c", ROWS)) is TableKind.XLSX


@pytest.mark.parametrize("suffix", ["xlsx", "xls", "ods"])
@pytest.mark.parametrize("write", [by_openpyxl, by_xlwt, by_odfpy])
def test_a_workbook_with_another_s_suffix_is_read_by_its_content(tmp_path: Path, write: object, suffix: str) -> None:
    path = write(tmp_path / "list", ROWS)  # type: ignore[operator] # one of the functions above
    _, rows = read(path.rename(tmp_path / f"list.{suffix}"))
    assert rows == [(number, tuple(row)) for number, row in enumerate(ROWS, start=1)]


def test_formulas_without_a_value_and_failed_ones_name_their_cells(tmp_path: Path) -> None:
    """openpyxl writes formulas and no values; xlsxwriter writes both."""
    book = openpyxl.Workbook()
    other = book.worksheets[0]
    other["A1"] = "=9+9"
    sheet = book.create_sheet("Books & Maps")
    sheet.append(["title", "pages", "year"])
    sheet.append(["Ferns", "=100+20", "=1900+77"])
    sheet.append(["Mosses", 12, 1990])
    book.save(tmp_path / "calc.xlsx")
    facts, rows = read(tmp_path / "calc.xlsx", "Books & Maps")
    assert rows[1] == (2, ("Ferns",))
    assert (facts.formulas, facts.without_value, facts.uncomputed) == (3, 3, ("B2", "C2"))
    with xlsxwriter.Workbook(tmp_path / "computed.xlsx") as written:
        page = written.add_worksheet()
        page.write(0, 0, "title")
        page.write_formula("A2", '="x"', None, "x")
        page.write_formula("B3", "=1/0", None, "#DIV/0!")
        page.write_formula("C3", "=1+1", None, 2)
    facts, _ = read(tmp_path / "computed.xlsx")
    assert (facts.without_value, facts.errors, facts.failed) == (0, 1, ("B3",))


@pytest.mark.parametrize(
    ("start", "name"),
    [('{"title": "Ferns"}', "JSON"), ('[\n  {"a": 1}]', "JSON"), ("@book{k,\n", "BibTeX"), ("TY  - BOOK\n", "RIS")],
)
def test_data_that_are_no_table_are_named(tmp_path: Path, start: str, name: str) -> None:
    (tmp_path / "a.csv").write_text(start, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        table_kind(tmp_path / "a.csv")
    assert name in caught.value.why
