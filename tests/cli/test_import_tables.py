"""Lists made in another program's manner, each in by one command after one look at its dry run. All is invented."""

import sys
from pathlib import Path

import click
import openpyxl
import pytest
import xlsxwriter
import xlwt
from odf import opendocument, table, text

from intake.edges.store.library import open_library
from intake.edges.store.reader import LibraryReader
from intake.identifiers import own
from intake.model.boxes import Box
from intake.model.editions import Copy, Edition, Grade
from intake.model.identifiers import OwnKind
from intake.model.places import Place
from intake.model.valuations import Valuation
from tests.cli.conftest import Intake
from tests.made_library import place_in

BOOKSELLER = """Bestell-Nr;Titel;Verfasser;Verlag;Jahr;ISBN;Seiten;Höhe (cm);Gewicht (g);VK-Preis;Lagerort
K-1;Gräser der Höhen;"Vellacroft, Ione";Larkmoss Verlag;1998;0-306-40615-2;352 S.;29,6;1.910;48,00 €;R3
K-2;"Möwen, Küsten; Flüsse";Petra Oulde;Larkmoss Verlag;1980;080442957X;240;24,0;985;1.200,00 €;R4
"""


def look_then_import(intake: Intake, kind: str, file: str, *options: str) -> str:
    """Import a list after a dry run that shows the same; return what the dry run showed."""
    look = intake("import", kind, file, *options, "--dry-run")
    assert (look.status, look.err) == (0, "")
    done = intake("import", kind, file, *options)
    assert (done.status, done.err) == (0, "")
    guessed = [line for line in look.out.splitlines() if line.startswith("  ") or "headings on line" in line]
    assert guessed == done.out.splitlines()[: len(guessed)]
    return look.out


def stored(tmp_path: Path) -> dict[type, list[object]]:
    with open_library(place_in(tmp_path / "library")) as library, library.reading() as reader:
        return {kind: _all(reader, kind) for kind in (Edition, Copy, Box, Place, Valuation)}


def _all(reader: LibraryReader, kind: type) -> list[object]:
    return list(reader.all(kind))


def test_a_booksellers_semicolon_export_in_windows_1252_with_german_headings(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "lager.csv").write_bytes(BOOKSELLER.encode("cp1252"))
    shown = look_then_import(intake, "editions", "lager.csv")
    assert "CSV in Windows-1252, Western European, separated by semicolons, headings on line 1" in shown
    assert "  Höhe (cm) → height_mm (from cm, decimal comma)" in shown
    assert "1.910 on line 2 is read with a decimal comma, as other columns have it" in shown
    assert "  VK-Preis: NOT USED (2 cells)" in shown
    assert "  Lagerort: NOT USED (2 cells)" in shown
    first, second = stored(tmp_path)[Edition]
    assert isinstance(first, Edition)
    assert isinstance(second, Edition)
    assert (first.key, first.title, first.number, first.pages) == ("K-1", "Gräser der Höhen", "9780306406157", 352)
    assert (first.height_mm, first.mass_g, second.height_mm, second.mass_g) == (296, 1910, 240, 985)
    assert second.title == "Möwen, Küsten; Flüsse"

    look_then_import(intake, "copies", "lager.csv", "--map", "room=Lagerort")
    values = [value for value in stored(tmp_path)[Valuation] if isinstance(value, Valuation)]
    assert [(str(value.amount), value.currency) for value in values] == [("48.00", "EUR"), ("1200.00", "EUR")]


def test_a_home_spreadsheet_with_two_rows_of_title(intake: Intake, tmp_path: Path) -> None:
    with xlsxwriter.Workbook(tmp_path / "books.xlsx") as book:
        sheet = book.add_worksheet("Our books")
        sheet.merge_range("A1:F1", "The books of the house")
        sheet.write("A2", "as of spring")
        sheet.write_row("A4", ["Title", "Author(s)", "ISBN", "Year", "Height (in)", "Lent to"])
        sheet.write_row("A5", ["Ferns of the Outer Isles", "Ada Thorn", 306406152, 1990, 9.5, "Bo"])
        sheet.write_row("A6", ["A Guide to Gulls", "Bo Lind", "080442957X", 1980, "9 1/4"])
        sheet.write("D8", 3970)
        sheet.write_formula("E8", "=SUM(E5:E6)", None, 9.5)
        sheet.write("A10", "Signed copies are in the study")
        book.add_worksheet("Maps").write("A1", "Old charts")
    shown = look_then_import(intake, "editions", "books.xlsx")
    for line in (
        "books.xlsx: XLSX, sheet 'Our books', headings on line 4, 2 rows",
        "  not read: sheets 'Maps'; name one with --sheet to read it instead",
        "  merged cells, the text counts for the first only: A1:F1",
        "  Height (in) → height_mm (from in)",
        "    1 short of a leading zero, restored as the check digit proves (line 5: 306406152)",
        "  Lent to: NOT USED (1 cell)",
        "  left out, above the headings: line 1, 'The books of the house'",
        "  left out, a row of totals: line 8, '3970 · 9.5'",
        "  left out, a note below the table: line 10, 'Signed copies are in the study'",
    ):
        assert line in shown
    editions = [edition for edition in stored(tmp_path)[Edition] if isinstance(edition, Edition)]
    assert [edition.number for edition in editions] == ["9780306406157", "9780804429573"]
    assert [edition.height_mm for edition in editions] == pytest.approx([241.3, 234.95])


def test_a_utf_16_tab_file_with_french_days(stocked: Intake, tmp_path: Path) -> None:
    rows = (
        "Référence\tN° de carton\tPrix\tDevise\tDate d'achat\tEmballé\n"
        "F1\t7\t120,00\tEUR\t12/03/2019\toui\n"
        "G1\t7\t1 250,50\tEUR\t31/01/2020\tnon\n"
        "O1\t7\t9,5\tEUR\t2 août 2021\tnon\n"
    )
    (tmp_path / "cartons.txt").write_bytes(rows.encode("utf-16"))
    shown = look_then_import(stocked, "copies", "cartons.txt")
    assert "CSV in UTF-16, separated by tabs" in shown
    assert "  Date d'achat → valued_on (day before month)" in shown
    assert "  Prix → value (decimal comma, as the replacement value)" in shown
    copies = [
        copy for copy in stored(tmp_path)[Copy] if isinstance(copy, Copy) and copy.box == own.make(OwnKind.BOX, 7)
    ]
    accessions = {copy.accession for copy in copies}
    values = [v for v in stored(tmp_path)[Valuation] if isinstance(v, Valuation) and v.copy in accessions]
    assert [copy.wrapped for copy in copies] == [True, False, False]
    assert [(str(v.amount), v.on.isoformat()) for v in values] == [
        ("120.00", "2019-03-12"),
        ("1250.50", "2020-01-31"),
        ("9.5", "2021-08-02"),
    ]


def test_an_old_workbook_of_boxes_in_pounds_and_inches(intake: Intake, tmp_path: Path) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Boxes")
    rows: list[list[str | int]] = [
        ["Carton", "Destination room", "Length", "Width", "Height", "Gross"],
        [12, "Study", "18 in", "12 in", "1'", "38 lb 4 oz"],
    ]
    for number, row in enumerate(rows):
        for place, cell in enumerate(row):
            sheet.write(number, place, cell)
    book.save(str(tmp_path / "boxes.xls"))
    look_then_import(intake, "boxes", "boxes.xls")
    (box,) = stored(tmp_path)[Box]
    assert isinstance(box, Box)
    assert (box.number, box.length_mm, box.width_mm, box.height_mm) == (own.make(OwnKind.BOX, 12), 457.2, 304.8, 304.8)
    # 38 lb 4 oz at 453.59237 g a pound (international agreement of 1959), to the gram.
    assert box.gross_g == round(38.25 * 453.59237)


def test_an_ods_list_of_shelves_with_polish_headings(intake: Intake, tmp_path: Path) -> None:
    book = opendocument.OpenDocumentSpreadsheet()
    sheet = table.Table(name="Regały")
    for row in (["Pokój", "Regał", "Półka", "Szerokość (cm)", "Wysokość (cm)"], ["Gabinet", "Okno", "1", "80,5", "30"]):
        line = table.TableRow()
        for cell in row:
            field = table.TableCell(valuetype="string")
            field.addElement(text.P(text=cell))
            line.addElement(field)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "shelves.ods"))
    look_then_import(intake, "places", "shelves.ods")
    sizes = {(place.width_mm, place.height_mm) for place in stored(tmp_path)[Place] if isinstance(place, Place)}
    assert (805, 300) in sizes


def test_what_cannot_be_told_is_asked_where_a_person_sits(
    intake: Intake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "old.csv").write_bytes("titre;Hauteur\nLa mère;29,6\n".encode("cp1252"))
    said = intake("import", "editions", "old.csv")
    assert said.status == 1
    assert "--encoding cp1252|cp1250" in said.err
    assert not (tmp_path / "library").exists()
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(click, "prompt", lambda *_arguments, **_options: 1)
    said = intake("import", "editions", "old.csv")
    assert said.status == 0
    assert "1  Windows-1252, Western European; line 2: La mère;29,6" in said.out
    assert "1  cm (29,6 on line 2)" in said.out
    (edition,) = stored(tmp_path)[Edition]
    assert isinstance(edition, Edition)
    assert (edition.title, edition.height_mm) == ("La mère", 296)


def test_a_row_that_looks_odd_is_taken_once_a_person_says_so(intake: Intake, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (["title", "height_mm"], ["A", 296], ["The Giant", 1500]):
        book.worksheets[0].append(row)
    book.save(tmp_path / "list.xlsx")
    said = intake("import", "editions", "list.xlsx")
    assert said.status == 1
    assert "would be 1500 mm, which is unlikely; if it is right, take the row with --as-is 3" in said.out
    assert intake("import", "editions", "list.xlsx", "--as-is", "3").status == 0
    assert intake("import", "editions", "list.xlsx", "--as-is", "x").status == 2
    assert intake("import", "editions", "list.xlsx", "--leave-out", "all").status == 2
    left = intake("import", "editions", "list.xlsx", "--leave-out", "3", "--dry-run").out
    assert "left out, as asked: line 3" in left
    assert intake("import", "editions", "list.xlsx", "--unit", "height_mm").status == 2


def test_a_shops_stock_whose_cells_alone_tell_currencies_and_whose_grades_are_words(
    intake: Intake, tmp_path: Path
) -> None:
    with xlsxwriter.Workbook(tmp_path / "stock.xlsx") as book:
        euros = book.add_format({"num_format": "_-* #,##0.00\\ [$€-407]_-;-* #,##0.00\\ [$€-407]_-"})
        francs = book.add_format({"num_format": "[$CHF-807] #,##0.00"})
        sheet = book.add_worksheet("Bestand")
        headings = ["Titel", "Jahr", "Maße (BxHxT)", "Note", "Umschlag", "Kiste", "Schätzwert"]
        sheet.write_row("B3", headings)
        sheet.write_row("B4", ["Das Moorbuch", "um 1925", "21 x 28,5 x 3 cm", "sehr gut", "o. Su.", "Kiste 12"])
        sheet.write_row("B5", ["Fjorde", 1961, "24 x 30 cm", "befriedigend", "mit Su.", "Kiste 12"])
        sheet.write_row("B6", ["Das Moorbuch", "um 1925", "21 x 28,5 x 3 cm", "VG/G", "", "Kiste 13"])
        for row, (amount, form) in enumerate([(85, euros), (120.5, francs), (40, euros)], start=3):
            sheet.write_number(row, 7, amount, form)
    shown = look_then_import(intake, "editions", "stock.xlsx")
    assert "  Maße (BxHxT) → size (width x height x thickness)" in shown
    assert "stock.xlsx: lines 4 and 6 are the same edition, made once" in shown
    said = ("--map", "key=Titel", "--map", "grade=Note")
    refused = intake("import", "copies", "stock.xlsx", *said)
    assert (refused.status, "--empty-bad-cells" in refused.err) == (1, True)
    shown = look_then_import(intake, "copies", "stock.xlsx", *said, "--empty-bad-cells")
    assert "    currencies in which cells are formatted: CHF 1, EUR 2" in shown
    assert "    read: sehr gut as Very Good, VG/G as Very Good/Good" in shown
    assert "stock.xlsx line 5: grade 'befriedigend' is none of the trade's grades" in shown

    records = stored(tmp_path)
    sizes = [(e.title, e.year, e.height_mm, e.width_mm) for e in records[Edition] if isinstance(e, Edition)]
    assert sizes == [("Das Moorbuch", 1925, 285, 210), ("Fjorde", 1961, 300, 240)]
    copies = [copy for copy in records[Copy] if isinstance(copy, Copy)]
    assert [(c.grade, c.jacket, c.has_jacket) for c in copies] == [
        (Grade.VERY_GOOD, None, False),
        (None, None, True),
        (Grade.VERY_GOOD, Grade.GOOD, True),
    ]
    values = [(str(v.amount), v.currency) for v in records[Valuation] if isinstance(v, Valuation)]
    assert values == [("85", "EUR"), ("120.5", "CHF"), ("40", "EUR")]
    again = intake("import", "copies", "stock.xlsx", *said, "--empty-bad-cells")
    assert "stock.xlsx: made nothing, altered nothing, 3 rows unchanged" in again.out
