"""Tables in text files: RFC 4180, its worked cases, and what it leaves out."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.exchange.text_table import DELIMITERS, TextTable, find_delimiter
from intake.errors import FileError
from tests.drawn_examples import examples


def table(folder: Path, text: str) -> TextTable:
    path = folder / "list.csv"
    path.write_bytes(text.encode())
    return TextTable(path, "utf-8-sig")


def test_quotes_blanks_and_line_breaks_as_rfc_4180_section_2_has_them(tmp_path: Path) -> None:
    rows = list(table(tmp_path, '"a ""b""",x ,\r\naaa,"b \r\nbb",ccc\r\n\r\n1,2,3'))
    assert [row.cells for row in rows] == [('a "b"', "x ", ""), ("aaa", "b \r\nbb", "ccc"), ("1", "2", "3")]
    assert [(row.line, row.lines) for row in rows] == [(1, 1), (2, 2), (5, 1)]


CELLS = st.text(st.characters(categories=["L", "N", "P", "Zs"], exclude_characters="'"), min_size=1, max_size=12)


@settings(max_examples=examples(60), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(delimiter=st.sampled_from(DELIMITERS), columns=st.integers(3, 6), data=st.data())
def test_the_separator_is_found_in_what_pythons_csv_writes(
    tmp_path: Path, delimiter: str, columns: int, data: st.DataObject
) -> None:
    rows = data.draw(st.lists(st.lists(CELLS, min_size=columns, max_size=columns), min_size=12, max_size=20))
    rows = [[cell.strip() or "x" for cell in row] for row in rows]
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter, quoting=csv.QUOTE_ALL).writerows(rows)
    read = table(tmp_path, text.getvalue())
    assert read.facts.delimiter == delimiter
    assert [list(row.cells) for row in read] == rows


def test_decimal_commas_and_rows_above_do_not_mislead_about_the_separator() -> None:
    assert find_delimiter("Meine Liste\n\nTitel;Höhe\nRot, blau;12,5\nGrau;3,0\n") == ";"
    assert find_delimiter("a|b\n1,2|3,4\n5,6|7,8\n") in "|,"
    assert find_delimiter("title\nOne\nTwo\n") == ","


def test_a_first_line_that_names_the_separator_is_followed(tmp_path: Path) -> None:
    read = table(tmp_path, "sep=;\nTitel;Preis\nA, B;1,2\n")
    assert [(row.line, row.cells) for row in read] == [(2, ("Titel", "Preis")), (3, ("A, B", "1,2"))]


@pytest.mark.parametrize(
    ("text", "is_quoted"),
    [('a,b\n"1,2\n', True), (f"a,b\n{'x' * 1_000_000},2\n", False), ('a,b\n"1,2\n' + "3,4\n" * 100_000, True)],
)
def test_a_quotation_mark_left_open_and_a_cell_of_a_megabyte_name_the_line(
    tmp_path: Path, text: str, *, is_quoted: bool
) -> None:
    with pytest.raises(FileError) as caught:
        list(table(tmp_path, text))
    assert "line 2" in caught.value.why
    assert ("quotation mark" in str(caught.value)) == is_quoted


@pytest.mark.parametrize("mark", ["\x0b", "\x0c", "\x1c", "\x85", "\u2028"])
def test_what_only_some_programs_take_for_a_line_s_end_does_not_mislead_about_the_separator(mark: str) -> None:
    """A row ends at CR LF (RFC 4180), CR or LF; Python's `splitlines` knows more ends than that."""
    rows = "".join(f"Ferns;{mark}Moss;{mark}Heath {n},x,\n" for n in range(3))
    assert find_delimiter(f"title,room,note\n{rows}") == ","
