"""Lists as people keep them: where the list is in its table, and what its cells become."""

from datetime import date
from pathlib import Path

import icu  # type: ignore[import-untyped]
import openpyxl
import pytest
import xlsxwriter
from stdnum import ean, isbn, issn

from intake.edges.csv_rows import RowFault, SheetRow
from intake.errors import FileError, UsageError
from intake.flow.lists.editions import parse_number
from intake.flow.lists.import_list import COLUMNS, ListKind
from intake.flow.lists.list_guess import (
    LeftOutReason,
    ListGuess,
    ListQuestion,
    ListReading,
    QuestionKind,
    Remark,
)
from intake.flow.lists.open_list import open_list
from intake.flow.lists.reasons import BadRow, CellError, RowReason
from intake.units.written_days import DayOrder
from intake.units.written_numbers import DecimalMark

TODAY = date(2026, 3, 31)
Rows = list[SheetRow | RowFault | BadRow]


def opened(
    path: Path, kind: ListKind = ListKind.EDITIONS, reading: ListReading | None = None, answer: str | None = None
) -> tuple[ListGuess, Rows, list[ListQuestion]]:
    asked: list[ListQuestion] = []

    def choose(question: ListQuestion) -> str | None:
        asked.append(question)
        return answer

    with open_list(path, kind.value, COLUMNS[kind], reading=reading, choose=choose, today=TODAY) as found:
        return found.guess, list(found.rows), asked


def of_text(
    folder: Path, text: str, kind: ListKind = ListKind.EDITIONS, reading: ListReading | None = None
) -> tuple[ListGuess, Rows]:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    guess, rows, _ = opened(path, kind, reading)
    return guess, rows


def cells(rows: Rows, field: str) -> list[str]:
    return [row.cells[field] if isinstance(row, SheetRow) else "" for row in rows]


def reasons(rows: Rows) -> list[RowReason | None]:
    return [row.reason if isinstance(row, BadRow) else None for row in rows]


JAPANESE = "書名,著者,出版社,出版年,価格\n霧の谷の苔図鑑,架空野 みどり,夢水書房,2012,￥3600\n"
"""An invented book."""


@pytest.mark.parametrize("codec", ["cp932", "euc_jp"])
def test_east_asian_decodings_that_differ_are_asked_about_the_understood_one_first(tmp_path: Path, codec: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(JAPANESE.encode(codec))
    with pytest.raises(FileError) as caught:
        opened(path)
    assert f"--encoding {codec}|" in str(caught.value)
    guess, rows, asked = opened(path, answer=codec)
    assert (asked[0].kind, asked[0].options[0].value) == (QuestionKind.ENCODING, codec)
    assert guess.facts.codec == codec
    assert cells(rows, "title") == ["霧の谷の苔図鑑"]


TABLE = """Meine Bücher;;;;
Stand: März 2026;;;;

Titel;Verfasser;ISBN;Jahr;Preis
Rote Gräser;A. Halm;978-0-306-40615-7;1998;12,50
Titel;Verfasser;ISBN;Jahr;Preis
Graue Moose;B. Ried;;1999;3,00
;;;;
Summe;;;;15,50

Preise ohne Gewähr;;;;
"""


def test_a_total_is_one_whichever_column_its_word_stands_in(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "title;isbn;pages\nFerns;9780306406157;12\n;Summe;12\n")
    assert cells(rows, "title") == ["Ferns"]
    assert [(row.line, row.reason) for row in guess.left_out] == [(3, LeftOutReason.TOTALS)]


def test_what_stands_around_the_list_is_found_and_told(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, TABLE)
    assert cells(rows, "title") == ["Rote Gräser", "Graue Moose"]
    assert (guess.header_line, guess.rows) == (4, 2)
    assert [(row.line, row.reason) for row in guess.left_out] == [
        (1, LeftOutReason.ABOVE),
        (2, LeftOutReason.ABOVE),
        (6, LeftOutReason.HEADINGS_AGAIN),
        (9, LeftOutReason.TOTALS),
        (11, LeftOutReason.NOTE),
    ]
    assert guess.left_out[-1].text == "Preise ohne Gewähr"
    assert [(one.guess.field, one.filled) for one in guess.columns if one.guess.heading == "Preis"] == [("price", 2)]


def test_a_total_may_say_what_it_counts_in_its_one_cell(tmp_path: Path) -> None:
    text = "Nimi;Tekijä;Vuosi\nSuon äänet;H. K.;2003\nTotal 4 All;A. D.;1998\nYhteensä 2 kirjaa\n"
    guess, rows = of_text(tmp_path, text)
    assert cells(rows, "title") == ["Suon äänet", "Total 4 All"]
    assert [(row.line, row.reason) for row in guess.left_out] == [(4, LeftOutReason.TOTALS)]


def test_a_book_may_be_called_total_or_1984(tmp_path: Path) -> None:
    _, rows = of_text(
        tmp_path, "key,title,number,year\nK1,Total,978-0-306-40615-7,1998\n,1984,,1949\nK2,Sum of All,,\n"
    )
    assert cells(rows, "title") == ["Total", "1984", "Sum of All"]


def test_a_single_cell_among_full_rows_is_left_to_the_person(tmp_path: Path) -> None:
    text = "title,author,year\nA,B,1999\nPainting\nC,D,1998\nE,F,1997\n"
    _, rows = of_text(tmp_path, text)
    assert reasons(rows) == [None, RowReason.LONE_CELL, None, None]
    _, rows = of_text(tmp_path, text, reading=ListReading(as_is=frozenset({3})))
    assert cells(rows, "title") == ["A", "Painting", "C", "E"]
    guess, rows = of_text(tmp_path, text, reading=ListReading(leave_out=frozenset({3})))
    assert (cells(rows, "title"), guess.rows) == (["A", "C", "E"], 3)
    assert [(row.line, row.reason) for row in guess.left_out] == [(3, LeftOutReason.ASKED)]
    with pytest.raises(UsageError, match="Line 9"):
        of_text(tmp_path, text, reading=ListReading(leave_out=frozenset({3, 9})))
    _, rows = of_text(tmp_path, "title,author\nOnly a title\nAnother\n")
    assert reasons(rows) == [None, None]


@pytest.mark.parametrize(
    ("column", "values"),
    [
        (["12,50", "1.234,56"], ["12.50", "1234.56"]),
        (["12.50", "1,234.56"], ["12.50", "1234.56"]),
        (["1.234", "12,5"], ["1234", "12.5"]),
        (["1,234", "12.5"], ["1234", "12.5"]),
        (["1’250.00", "3.-"], ["1250.00", "3.00"]),
        (["18,– €", "18,- €", "1.480,–"], ["18.00", "18.00", "1480.00"]),
        (["480.–", "1'480.--"], ["480.00", "1480.00"]),
        (["€ 12,50", "1 250,00 €"], ["12.50", "1250.00"]),
    ],
)
def test_amounts_are_decided_for_the_column_as_a_whole(tmp_path: Path, column: list[str], values: list[str]) -> None:
    text = "key;value;currency\n" + "".join(f"K;{value};EUR\n" for value in column)
    assert cells(of_text(tmp_path, text, ListKind.COPIES)[1], "value") == values


@pytest.mark.parametrize("column", [["1.234", "2.500"], ["12,50", "12.50", "1.234"]])
def test_amounts_that_can_be_read_in_two_ways_are_asked_about(tmp_path: Path, column: list[str]) -> None:
    text = "key;value;currency\n" + "".join(f"K;{value};EUR\n" for value in column)
    with pytest.raises(FileError) as caught:
        of_text(tmp_path, text, ListKind.COPIES)
    assert "--decimal comma|point" in caught.value.remedy
    assert "'1.234' on line" in caught.value.why
    assert "12" not in caught.value.why.replace("1.234", "")
    _, rows = of_text(tmp_path, text, ListKind.COPIES, ListReading(decimals=DecimalMark.COMMA))
    expected = {"1.234": "1234", "2.500": "2500", "12,50": "12.50", "12.50": "12.50"}
    assert cells(rows, "value") == [expected[text] for text in column]


def test_cells_that_each_can_be_read_in_one_way_are_read_so_and_the_mixture_is_told(tmp_path: Path) -> None:
    """3/31 can only be March by the months of a year; between points the day comes first (Unicode CLDR)."""
    text = "key;value;currency;valued_on\nK;12,50;EUR;3/31/2024\nK;12.50;EUR;31.03.2024\nK;1.234,50;EUR;2024-03-31\n"
    for told in (ListReading(), ListReading(decimals=DecimalMark.COMMA, dates=DayOrder.MDY)):
        guess, rows = of_text(tmp_path, text, ListKind.COPIES, told)
        assert cells(rows, "value") == ["12.50", "12.50", "1234.50"]
        assert cells(rows, "valued_on") == ["2024-03-31"] * 3
        assert guess.columns[1].remarks == {Remark.DECIMALS_MIXED: (2, "12,50 on line 2, 12.50 on line 3")}
        assert guess.columns[3].remarks == {Remark.DATES_MIXED: (2, "3/31/2024 on line 2, 31.03.2024 on line 3")}


def test_a_cell_that_does_not_fit_what_a_person_said_is_read_as_it_can_be_and_told(tmp_path: Path) -> None:
    reading = ListReading(decimals=DecimalMark.COMMA)
    guess, rows = of_text(tmp_path, "key;value;currency\nK;1.234;EUR\nK;12.50;EUR\n", ListKind.COPIES, reading)
    assert cells(rows, "value") == ["1234", "12.50"]
    assert guess.columns[1].remarks == {Remark.DECIMALS_MIXED: (2, "1.234 on line 2, 12.50 on line 3")}


@pytest.mark.parametrize("order", list(DayOrder))
def test_a_mixed_column_of_days_is_asked_about_only_where_a_cell_can_be_two(tmp_path: Path, order: DayOrder) -> None:
    text = "key,valued_on\nK,3/31/2024\nK,31.03.2024\nK,4/5/2024\n"
    with pytest.raises(FileError, match=r"two ways \('4/5/2024' on line 4\)"):
        of_text(tmp_path, text, ListKind.COPIES)
    _, rows = of_text(tmp_path, text, ListKind.COPIES, ListReading(dates=order))
    fourth = {DayOrder.DMY: "2024-05-04", DayOrder.MDY: "2024-04-05"}[order]
    assert cells(rows, "valued_on") == ["2024-03-31", "2024-03-31", fourth]


def test_another_column_of_the_file_may_tell_the_decimal_mark(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "title;Höhe (cm);Gewicht (g)\nA;24,5;1.234\n")
    assert (cells(rows, "height_mm"), cells(rows, "mass_g")) == (["245"], ["1234"])
    assert guess.columns[2].remarks[Remark.DECIMALS_OF_OTHERS] == (2, "1.234")


@pytest.mark.parametrize(
    ("column", "days"),
    [
        (["12/03/2019", "31/01/2020"], ["2019-03-12", "2020-01-31"]),
        (["12/03/2019", "01/31/2020"], ["2019-12-03", "2020-01-31"]),
        (["12.03.2019", "1.2.2020"], ["2019-03-12", "2020-02-01"]),
        (["12 mars 2019", "1er août 2020"], ["2019-03-12", "2020-08-01"]),
        (["05/05/2019", "2020-02-01"], ["2019-05-05", "2020-02-01"]),
    ],
)
def test_days_are_decided_for_the_column_as_a_whole(tmp_path: Path, column: list[str], days: list[str]) -> None:
    text = "key,valued_on\n" + "".join(f"K,{value}\n" for value in column)
    assert cells(of_text(tmp_path, text, ListKind.COPIES)[1], "valued_on") == days


def test_days_that_can_be_read_in_two_ways_are_asked_about(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("key,valued_on\nK,12/03/2019\n", encoding="utf-8")
    _, rows, (question,) = opened(path, ListKind.COPIES, answer="mdy")
    assert (question.kind, question.field) == (QuestionKind.DATES, "valued_on")
    assert cells(rows, "valued_on") == ["2019-12-03"]
    _, rows, asked = opened(path, ListKind.COPIES, ListReading(dates=DayOrder.DMY))
    assert (cells(rows, "valued_on"), asked) == (["2019-03-12"], [])


@pytest.mark.parametrize(
    ("heading", "cell", "field", "value"),
    [
        ("Breite (cm)", "17,5", "width_mm", "175"),
        ("width", "17,5 cm", "width_mm", "175"),
        ("height", '9 1/2"', "height_mm", "241.3"),
        ("height (in)", "9½", "height_mm", "241.3"),
        ("height", "1 ft 2 in", "height_mm", "355.6"),
        ("Gewicht (kg)", "1,91", "mass_g", "1910"),
        ("weight", "2 lb 3 oz", "mass_g", "992"),  # 992.233, to the gram
        ("height_mm", "296", "height_mm", "296"),
        ("pages", "352 S.", "pages", "352"),
    ],
)
def test_units_in_cells_and_headings(tmp_path: Path, heading: str, cell: str, field: str, value: str) -> None:
    quoted = cell.replace('"', '""')
    _, rows = of_text(tmp_path, f'title;{heading}\nA;"{quoted}"\n')
    assert float(cells(rows, field)[0]) == pytest.approx(float(value), abs=1e-3)


def test_a_unit_that_nobody_states_is_assumed_only_where_sizes_bear_it_out(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "title,height\nA,296\n")
    assert cells(rows, "height_mm") == ["296"]
    assert guess.columns[1].remarks[Remark.UNIT_ASSUMED] == (2, "296")
    with pytest.raises(FileError) as caught:
        of_text(tmp_path, "title,height\nA,29.6\n")
    assert "--unit height_mm=cm" in caught.value.remedy
    _, rows = of_text(tmp_path, "title,height\nA,29.6\n", reading=ListReading(units={"height_mm": "cm"}))
    assert cells(rows, "height_mm") == ["296"]
    _, rows = of_text(tmp_path, "title,Höhe (cm),Breite\nA,29.6,21\n")
    assert cells(rows, "width_mm") == ["210"]


@pytest.mark.parametrize("units", [{"title": "cm"}, {"height_mm": "kg"}, {"width_mm": "cm"}])
def test_a_unit_that_a_field_cannot_have_is_wrong_use(tmp_path: Path, units: dict[str, str]) -> None:
    with pytest.raises(UsageError):
        of_text(tmp_path, "title,height\nA,296\n", reading=ListReading(units=units))


def test_odd_sizes_and_years_are_asked_about_and_impossible_ones_refused(tmp_path: Path) -> None:
    text = (
        "title,height_mm,year\nA,2960,1999\nB,296,1300\nC,296,10\nD,296,20024\nE,296,-500\nF,296,2028\nG,296,[1998]\n"
    )
    _, rows = of_text(tmp_path, text)
    impossible = RowReason.YEAR_IMPOSSIBLE
    assert reasons(rows) == [
        RowReason.SIZE_UNLIKELY, RowReason.YEAR_UNLIKELY, impossible, impossible, impossible, impossible, None
    ]  # fmt: skip
    _, rows = of_text(tmp_path, text, reading=ListReading(all_as_is=True))
    assert reasons(rows) == [None, None, impossible, impossible, impossible, impossible, None]
    assert (cells(rows, "height_mm")[0], cells(rows, "year")[6]) == ("2960", "1998")


def test_numbers_that_a_spreadsheet_has_rounded_are_refused_and_lost_zeros_restored(tmp_path: Path) -> None:
    # ISO 2108, ISO 3297: the check digits are those of python-stdnum.
    ten, eight = "0306406152", "03178471"
    assert isbn.is_valid(ten)
    assert issn.is_valid(eight)
    listed = [
        "9.78E+12",
        "9,78031E+12",
        ten.lstrip("0"),
        eight.lstrip("0"),
        "306406153",
        "9780306406157.0",
        '="0306406152"',
    ]
    _, rows = of_text(
        tmp_path, "title;isbn\n" + "".join(f"T;{value}\n" for value in listed[:-1]) + 'T;"=""0306406152"""\n'
    )
    assert reasons(rows)[:2] == [RowReason.NUMBER_ROUNDED] * 2
    assert cells(rows, "number")[2:] == [ten, eight, "306406153", "9780306406157", ten]


def test_a_workbooks_own_numbers_and_days(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["title", "number", "volume", "year", "height_mm", "x"])
    sheet.append(["A", 9780306406157, 1, 1998, 245.5, None])
    sheet.append(["B", 306406152, date(2026, 1, 2), date(1998, 1, 1), 245, None])
    sheet.append([1984, 306406152, None, 1949, "24,5 cm", "stray"])
    sheet.append(["C", None, None, None, None, None, "beyond"])
    book.save(path)
    guess, rows, _ = opened(path)
    assert reasons(rows) == [None, RowReason.DAY_FOR_TEXT, None, None]
    assert cells(rows, "number") == ["9780306406157", "", "0306406152", ""]
    assert (cells(rows, "title")[2], cells(rows, "height_mm")) == ("1984", ["245.5", "", "245", ""])
    assert [(c.guess.place, c.filled) for c in guess.columns if not c.guess.field] == [(5, 1), (6, 1)]


def test_serial_60_the_29_february_1900_that_never_was_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["key", "valued_on"])
        for row, serial in enumerate((60, 61), start=1):
            sheet.write(row, 0, "K")
            sheet.write_number(row, 1, serial, book.add_format({"num_format": "yyyy-mm-dd"}))
    _, rows, _ = opened(path, ListKind.COPIES)
    assert reasons(rows) == [RowReason.DAY_BEFORE_SERIALS, None]
    assert cells(rows, "valued_on")[1] == "1900-03-01"


def test_currencies_beside_amounts_and_in_headings(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "key;value\nK;12,50 €\nK;CHF 3,00\nK;$5,00\nK;5,00 apples\n", ListKind.COPIES)
    assert cells(rows, "currency") == ["EUR", "CHF", "", ""]
    assert reasons(rows) == [None, None, RowReason.CURRENCY_SHARED, RowReason.CURRENCY_SIGN_UNKNOWN]
    _, rows = of_text(tmp_path, "key;Preis (EUR)\nK;12,50\nK;£3,00\n", ListKind.COPIES)
    assert (cells(rows, "currency")[0], reasons(rows)[1]) == ("EUR", RowReason.CURRENCY_DIFFERS)


def test_yes_and_no_in_other_languages(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "key;Verpackt\nK;ja\nK;Nein\nK;oui\nK;vielleicht\n", ListKind.COPIES)
    assert cells(rows, "wrapped") == ["yes", "no", "yes", "vielleicht"]


def test_a_list_without_its_required_column_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        of_text(tmp_path, "Farbe;ISBN\nrot;1\n")
    assert "'title'" in caught.value.why


def test_an_encoding_is_asked_about_and_the_answer_followed(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("titre\nLa mère\n".encode("cp1252"))
    _, rows, (question,) = opened(path, answer="cp1252")
    assert question.kind is QuestionKind.ENCODING
    assert cells(rows, "title") == ["La mère"]
    with pytest.raises(FileError) as caught:
        opened(path)
    assert "--encoding cp1252|cp1250" in caught.value.remedy


def test_years_as_catalogs_write_them_are_read_and_told(tmp_path: Path) -> None:
    years = [
        "(1999)",
        "c. 1999",
        "1999-2001",
        "spring 1999",
        "o. J. [um 1920]",
        "MCMLXXIV",
        "昭和53年",
        "1988年3月",
        "n.d.",
    ]
    text = "title;year\n" + "".join(f"T{nth};{year}\n" for nth, year in enumerate(years))
    guess, rows = of_text(tmp_path, text)
    # Showa 53 is 1978: the era began in 1926 (Japanese calendar; from memory).
    assert cells(rows, "year") == ["1999", "1999", "1999", "1999", "1920", "1974", "1978", "1988", ""]
    (column,) = [column for column in guess.columns if column.guess.field == "year"]
    assert column.counts == {Remark.YEAR_READ: 5, Remark.YEAR_OTHERWISE: 2, Remark.YEAR_UNTOLD: 1}
    assert column.remarks[Remark.YEAR_READ] == (3, "c. 1999 as 1999")


def test_pages_of_several_sequences_are_added_up_and_told(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "title;pages\nA;XVI, 408 S.\nB;120頁\nC;３２０\n")
    assert cells(rows, "pages") == ["424", "120", "320"]
    assert guess.columns[1].remarks[Remark.PAGES_ADDED] == (2, "XVI, 408 S. as 424")


ORDINAL_RULES = "%digits-ordinal"


@pytest.mark.parametrize("language", ["en", "de", "fr", "es", "pt", "it", "nl", "sv", "pl", "ja"])
def test_a_printing_may_be_an_ordinal_as_icu_writes_it(tmp_path: Path, language: str) -> None:
    rules = icu.RuleBasedNumberFormat(icu.URBNFRuleSetTag.ORDINAL, icu.Locale(language))
    named = [rules.getRuleSetName(nth) for nth in range(rules.getNumberOfRuleSetNames())]
    assert any(name.startswith(ORDINAL_RULES) for name in named)
    for name in (name for name in named if name.startswith(ORDINAL_RULES) and "plural" not in name):
        rules.setDefaultRuleSet(name)
        written = [rules.format(number) for number in range(1, 41)]
        text = "key;printing\n" + "".join(f"K;{ordinal}\n" for ordinal in written)
        guess, rows = of_text(tmp_path, text, ListKind.PRINTINGS)
        assert cells(rows, "printing") == [str(number) for number in range(1, 41)], (name, written)
        assert Remark.ORDINALS in guess.columns[1].remarks


def test_what_is_not_an_ordinal_of_a_printing_is_refused(tmp_path: Path) -> None:
    texts = ("2a", "2 vols", "2nd ed.", "second", "1.5")
    _, rows = of_text(tmp_path, "key;printing\n" + "".join(f"K;{text}\n" for text in texts), ListKind.PRINTINGS)
    assert cells(rows, "printing") == list(texts), "left as written, and no whole number"


def test_what_stands_beside_a_number_is_told(tmp_path: Path) -> None:
    guess, _ = of_text(tmp_path, "title,isbn\nA,9780306406157 (Ln.)\nB,ISBN 978-0-306-40615-7\nC,0306406152 / 1234\n")
    assert guess.columns[1].counts == {Remark.BESIDE_NUMBER: 2}
    # A key in the column of numbers, a number that fails its check and one that is rounded: none is read in part.
    text = "key,isbn\nA,A001\nB,9780306406158 (Ln.)\nC,9.78E+12\nD,9999-0102\n"
    guess, _ = of_text(tmp_path, text, ListKind.COPIES)
    assert guess.columns[1].remarks == {}


def test_a_year_with_the_decimal_of_a_spreadsheet_is_no_more_than_a_year(tmp_path: Path) -> None:
    guess, rows = of_text(tmp_path, "title,year\nA,1999.0\n")
    assert (cells(rows, "year"), guess.columns[1].remarks) == (["1999"], {})


def test_full_width_figures_are_figures(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "書名,重量,高さ（ｃｍ）\nしだ,８００ｇ,２１\n")
    assert (cells(rows, "mass_g"), cells(rows, "height_mm")) == (["800"], ["210"])


def test_a_range_of_sizes_is_not_said_to_have_no_unit(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "title,height\nA,25-26 cm\nB,0'-11 1/4\"\n")
    assert isinstance(rows[0], BadRow)
    assert rows[0].facts["why"] == "has more than one number for a unit"
    assert cells(rows, "height_mm") == ["", "285.75"]


def test_what_was_paid_keeps_its_basis_and_a_currency_may_be_given(tmp_path: Path) -> None:
    text = "key,Price paid\nP,40\n"
    _, rows = of_text(tmp_path, text, ListKind.COPIES, ListReading(units={"value": "eur"}))
    assert [(cells(rows, field)) for field in ("value", "currency", "basis")] == [["40"], ["EUR"], ["purchase"]]
    with pytest.raises(UsageError):
        of_text(tmp_path, text, ListKind.COPIES, ListReading(units={"value": "cm"}))


def test_a_missing_column_names_the_encoding_and_the_headings_that_were_seen(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        of_text(tmp_path, "Wassermarke,Faden\n1,2\n")
    assert "read as CSV in UTF-8, separated by commas, headings seen: Wassermarke, Faden" in caught.value.why


def test_references_that_are_numbers_fill_the_number_too_where_no_column_does(tmp_path: Path) -> None:
    """Valid by python-stdnum; the numbers are those of the standards' examples and of an unused range."""
    numbers = ["9780306406157", "979-0-2600-0043-8", "9771234567003"]
    assert all(ean.is_valid(ean.compact(number)) for number in numbers)
    guess, rows = of_text(tmp_path, "Ref;Title\n" + "".join(f"{number};Reed Song\n" for number in numbers))
    assert cells(rows, "key") == numbers
    assert cells(rows, "number") == [ean.compact(number) for number in numbers]
    assert guess.columns[0].remarks == {Remark.NUMBERS_IN_KEYS: (2, numbers[0])}
    few = "Cote;Titre\n" + "".join(f"{number};Moss\n" for number in [*numbers * 3, "MS 4"])
    guess, rows = of_text(tmp_path, few)
    assert cells(rows, "number")[-2:] == [numbers[2], ""]
    assert guess.columns[0].remarks[Remark.KEYS_ALONE] == (11, "MS 4")
    assert guess.columns[0].counts == {Remark.NUMBERS_IN_KEYS: 9, Remark.KEYS_ALONE: 1}


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        ("Ref;Title\n9780306406157;Moss\n", {"number": ""}),
        ("Ref;Title;ISBN\n9780306406157;Moss;9780306406157\n", {}),
        ("Ref;Title\n9780306406157;Moss\nA 1;Fen\n", {}),
        ("Ref;Title\n0306406152;Moss\n", {}),
    ],
)
def test_references_stay_references_where_they_may_be_no_numbers(
    tmp_path: Path, text: str, mapping: dict[str, str]
) -> None:
    guess, _ = of_text(tmp_path, text, reading=ListReading(mapping=mapping))
    assert guess.columns[0].fields == ("key",)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_file_that_breaks_off_in_its_last_row_is_noticed(tmp_path: Path, encoding: str, end: str) -> None:
    path = tmp_path / "list.csv"
    whole = end.join(["title;price (EUR);printed_in", "Für;1.250,00;AT", "Mire;2.480,00;DE", "Moor;3.100,50;CH", ""])
    for length in range(whole.index("Moor") + 1, len(whole)):
        path.write_bytes(whole[:length].encode(encoding))
        found = reasons(opened(path)[1])[-1]
        assert found == (RowReason.CUT_SHORT if whole[:length].count(";") < 8 else None)
    path.write_bytes(whole[: whole.index(",50")].encode(encoding))
    assert cells(opened(path, reading=ListReading(as_is=frozenset({4})))[1], "price")[-1] == "3100"


@pytest.mark.parametrize(
    "text",
    ["title;year;language\nMoss;1999\nFen;1998", "title;year\nMoss;1999\nFen\n", "title;year\nMoss;1999\n\nNote"],
)
def test_rows_that_are_short_for_another_reason_do_not_break_off(tmp_path: Path, text: str) -> None:
    assert RowReason.CUT_SHORT not in reasons(of_text(tmp_path, text)[1])


def test_languages_become_codes_and_what_is_none_is_kept_and_told(tmp_path: Path) -> None:
    """Codes of ISO 639-2/B; the names are checked in the tests of units."""
    text = "Titel;Sprache\nA;Deutsch\nB;dt.\nC;suomi\nD;Deutsch/Englisch\nE;eng\nF;Plattdeutsh\n"
    guess, rows = of_text(tmp_path, text)
    assert cells(rows, "language") == ["ger", "ger", "fin", "ger; eng", "eng", "Plattdeutsh"]
    assert guess.columns[1].remarks == {Remark.LANGUAGE_KEPT: (7, "Plattdeutsh")}
    assert guess.columns[1].words["suomi"] == "fin"


def test_two_numbers_in_a_cell_are_both_named() -> None:
    numbers = ["978-99950-1-607-4", "978-99950-952-6-0"]
    assert all(isbn.is_valid(number) for number in numbers)
    with pytest.raises(CellError) as caught:
        parse_number(" ; ".join(numbers))
    assert caught.value.reason is RowReason.NUMBER_AMBIGUOUS
    assert caught.value.facts["numbers"] == " or ".join(numbers)


def test_cells_of_the_notes_below_are_none_of_a_column(tmp_path: Path) -> None:
    guess, _ = of_text(tmp_path, "Titel,Farbe,Jahr\nA,red,1999\nB,blue,2001\n\n,counted in May,\n")
    assert [column.filled for column in guess.columns] == [2, 2, 2]
    text = "Titel,Farbe,Jahr\nA,red,1999\nB,blue,2001\n\ncounted in May,,\n,,,beside\n"
    reading = ListReading(mapping={"title": "Titel", "key": "Titel"})
    assert [column.filled for column in of_text(tmp_path, text, reading=reading)[0].columns] == [2, 2, 2, 2]
