"""Several sizes in one cell: read, compared with columns of their own, and asked about where their order is unclear."""

from pathlib import Path

import pytest

from intake.errors import FileError
from intake.flow.lists.guess_words import guess_lines
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.list_guess import ListReading, QuestionKind, Remark
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.size_orders import SizeOrder
from intake.flow.lists.written_sizes import named_sheet
from tests.flow.lists.test_open_list import cells, of_text, opened, reasons

SIZES = ("height_mm", "width_mm", "thickness_mm")
PORTRAIT = "titel;Maße\nA;28,5 x 21 x 3 cm\nB;300 × 240 × 25 mm\nC;24 cm\n"


def sizes(folder: Path, text: str, reading: ListReading | None = None) -> list[list[float | None]]:
    _, rows = of_text(folder, text, reading=reading)
    fields = [field for field in SIZES if field in rows[0].cells]  # type: ignore[operator] # they have cells
    columns = [[float(cell) if cell else None for cell in cells(rows, field)] for field in fields]
    return [list(row) for row in zip(*columns, strict=True)]


def test_height_comes_first_as_isbd_has_it_and_that_is_told(tmp_path: Path) -> None:
    # ISBD, area 5: "20 x 28 cm" is the height by the width.
    assert sizes(tmp_path, PORTRAIT) == [[285, 210, 30], [300, 240, 25], [240, None, None]]
    guess, _ = of_text(tmp_path, PORTRAIT)
    assert guess.columns[1].remarks[Remark.ORDER_ASSUMED] == (2, "28,5 x 21 x 3 cm")


def test_books_that_would_be_wider_than_high_are_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("title,dimensions\nA,21 x 28.5 x 3 cm\nB,24 x 30 x 2 cm\n", encoding="utf-8")
    with pytest.raises(FileError) as caught:
        opened(path)
    assert "--size-order hwt|wht" in caught.value.remedy
    _, rows, (question,) = opened(path, answer="wht")
    assert question.kind is QuestionKind.SIZE_ORDER
    assert cells(rows, "height_mm") == ["285", "300"]


def test_a_thickness_that_does_not_come_last_is_asked_about(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        of_text(tmp_path, "title,dimensions\nA,28 x 3 x 21 cm\n")
    reading = ListReading(size_order=SizeOrder("htw"))
    assert sizes(tmp_path, "title,dimensions\nA,28 x 3 x 21 cm\n", reading) == [[280, 210, 30]]


@pytest.mark.parametrize(
    ("heading", "cell", "size"),
    [
        ("Size (W x H)", "21 x 28 cm", [280, 210]),
        ("Maße (B x H x T) in cm", "21 x 28 x 3", [280, 210, 30]),
        ("Format (cm)", "21 x 14", [210, 140]),
        ("Dimensions", '11 1/4" x 9"', [285.75, 228.6]),
        ("Dimensions", "11 x 8.5 x 1 in", [279.4, 215.9, 25.4]),
        ("サイズ", "２８×２１×３ｃｍ", [280, 210, 30]),
    ],
)
def test_orders_and_units_of_headings_and_cells(tmp_path: Path, heading: str, cell: str, size: list[float]) -> None:
    quoted = cell.replace('"', '""')
    assert sizes(tmp_path, f'title;{heading}\nA;"{quoted}"\n') == [size]


def test_a_column_of_its_own_is_compared(tmp_path: Path) -> None:
    text = "title,height (cm),dimensions\nA,29,28.5 x 21 cm\nB,24,30 x 21 cm\n"
    _, rows = of_text(tmp_path, text)
    assert cells(rows, "height_mm")[0] == "290"
    assert reasons(rows) == [None, RowReason.SIZE_TWICE]


def test_a_size_is_no_binding(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "title,Format\nA,21 x 14 cm\nB,paperback\nC,A5\nD,cloth\n")
    assert reasons(rows) == [RowReason.SIZE_FOR_BINDING, None, RowReason.SIZE_FOR_BINDING, None]


def test_what_is_no_size_is_said(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "title,dimensions\nA,tall\nB,28 x 21 x 3 x 2 cm\nC,2 x 2 cm\n")
    assert reasons(rows) == [RowReason.NOT_WITH_UNIT, RowReason.NOT_WITH_UNIT, RowReason.SIZE_UNLIKELY]


@pytest.mark.parametrize("text", ["folio", "4to", "8vo.", "Gr. 8°", "in-4", "In-12°", "12mo", "large quarto"])
def test_how_a_sheet_was_folded_is_no_size(text: str, tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, f"title,dimensions\nA,{text}\n")
    assert reasons(rows) == [RowReason.SIZE_OF_FOLD]


def test_sheets_named_by_iso_216_have_the_sizes_of_its_rule() -> None:
    # ISO 216: A0 is 1 m², B0 1 m by the root of 2, the sides are as 1 to the root of 2; each next is half of the one
    # before, its sides rounded down to whole millimetres.
    for series, whole in {"A": (1189, 841), "B": (1414, 1000)}.items():
        sizes = [whole]
        for nth in range(8):
            assert named_sheet(f"{series}{nth}") in (None, sizes[nth])
            sizes.append((sizes[nth][1], sizes[nth][0] // 2))
    assert named_sheet("A5") is not None


def test_a_named_sheet_is_taken_upright_and_told(tmp_path: Path) -> None:
    text = "titel;Maße\nA;DIN A5\nB;29 x 21 x 2 cm\nC;A4 quer\n"
    guess, rows = of_text(tmp_path, text)
    assert (cells(rows, "height_mm")[:2], cells(rows, "width_mm")[:2]) == (["210", "290"], ["148", "210"])
    assert guess.columns[1].remarks[Remark.SHEET_NAMED] == (2, "DIN A5 as 210 x 148 mm")
    assert reasons(rows) == [None, None, RowReason.NOT_WITH_UNIT]


def test_sizes_in_one_cell_show_the_decimal_mark_of_the_other_columns(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "titel;Maße;Gewicht in Gramm\nA;28,5 x 21 cm;1.450\n")
    assert cells(rows, "mass_g") == ["1450"]
    assert Remark.DECIMALS_OF_OTHERS in guess.columns[2].remarks


def test_line_breaks_are_taken_out_and_told(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, 'title,author,note\n"Long\ntitle","Ada Thorn\r\nBo Lind",x\n')
    assert cells(rows, "title") == ["Long title"]
    assert cells(rows, "contributors") == ["Ada Thorn; Bo Lind"]
    assert guess.columns[0].remarks[Remark.LINE_BREAKS] == (2, "Long title")
    _, rows = of_text(tmp_path, 'key,note\nA,"one\ntwo"\n', ListKind.COPIES)
    assert cells(rows, "note") == ["one\ntwo"]


TRADE = (
    "Titel;Verfasser/Hrsg.;Verlag, Ort;Einband;Format\n"
    "A;Quell, Ida;Moorland, Tidhafen;OLn.;24,5 x 17,3 cm\nB;;;OBrosch.;19 x 12 cm\nC;;;OPp.;8°\nD;;;Ln.;235 x 155 mm\n"
)


def test_a_column_format_of_sizes_is_the_size_and_no_unit_is_asked_for(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, TRADE)
    assert [column.guess.field for column in guess.columns] == ["title", "contributors", "publisher", "binding", "size"]
    assert reasons(rows) == [None, None, RowReason.SIZE_OF_FOLD, None]
    assert cells(rows, "height_mm") == ["245", "190", "", "235"]
    (line,) = (line for line in guess_lines("list.csv", guess) if line.startswith("  Format →"))
    assert "as its cells are" in line
    of_binding, _ = of_text(tmp_path, TRADE, reading=ListReading(mapping={"binding": "Format"}))
    assert [column.guess.field for column in of_binding.columns][3:] == ["", "binding"]
    with pytest.raises(FileError) as caught:
        of_text(tmp_path, "Titel;Maße\nA;24 cm\nB;240\n")
    assert "numbers without a unit" in caught.value.why
    assert "'240' on line 3" in caught.value.why
