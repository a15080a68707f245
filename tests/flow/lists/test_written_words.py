"""Grades, jackets and boxes in the words of usual lists."""

from pathlib import Path

import pytest

from intake.edges.exchange.heading_table import words_in_cells
from intake.flow.lists.guess_words import guess_lines
from intake.flow.lists.heading_words import fold_heading
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.list_guess import ListReading, Remark
from intake.flow.lists.reasons import BadRow, RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.lists.written_words import KINDS, box_read, grade_read, jacket_read
from intake.model.editions import Grade
from intake.valuing.condition import GRADE_LETTERS
from tests.flow.lists.test_open_list import cells, of_text, reasons


@pytest.mark.parametrize("grade", list(Grade))
def test_the_trades_words_and_letters_are_its_grades(grade: Grade) -> None:
    # AB Bookman's Weekly (1949), as extended by the trade; written book/jacket, with + and -.
    for written in (grade.value, grade.value.upper(), GRADE_LETTERS[grade], f"{GRADE_LETTERS[grade]}+"):
        assert grade_read(written) == grade.value
    assert grade_read(f"{GRADE_LETTERS[grade]}/G-") == f"{grade.value}/Good"


def test_no_word_means_two_grades_or_a_jacket_and_none() -> None:
    meanings: dict[str, set[Grade]] = {}
    for kind, grade in KINDS.items():
        for word in words_in_cells(kind):
            meanings.setdefault(fold_heading(word), set()).add(grade)
    assert {word: grades for word, grades in meanings.items() if len(grades) > 1} == {}
    jackets, none = ({fold_heading(word) for word in words_in_cells(kind)} for kind in ("@jacket", "@no_jacket"))
    assert jackets & none == set()
    assert not meanings.keys() & (jackets | none)


@pytest.mark.parametrize(
    # Scales of other languages whose steps are not the trade's: a translation would be a guess.
    "word",
    ["befriedigend", "assez bon", "état moyen", "regular", "discreto", "ottimo", "nice", "VGG", "4/5"],
)
def test_words_of_other_scales_are_not_understood(word: str) -> None:
    assert grade_read(word) is None


def test_a_list_says_how_it_read_them_and_refuses_the_rest(tmp_path: Path) -> None:
    text = (
        "key,grade,jacket,box\nA,VG+,o. Su.,Kiste 3\nB,Bon,-,Box 7\n"
        "C,wie neu,sans jaquette,4\nD,NF/VG,,B5\nE,lovely,so so,6\n"
    )
    guess, rows = of_text(tmp_path, text, ListKind.COPIES)
    assert cells(rows, "grade") == ["Very Good", "Good", "As New", "Near Fine", ""]
    assert cells(rows, "jacket") == ["none", "", "none", "Very Good", ""]
    assert cells(rows, "box")[:4] == ["3", "7", "4", "B5"]
    assert reasons(rows) == [None, None, None, None, RowReason.GRADE_UNKNOWN]
    words = {column.guess.field: dict(column.words) for column in guess.columns}
    assert words["grade"] == {"VG+": "Very Good", "Bon": "Good", "wie neu": "As New", "NF/VG": "Near Fine/Very Good"}
    assert words["jacket"] == {"o. Su.": "none", "-": "", "sans jaquette": "none"}
    assert words["box"] == {"Kiste 3": "3", "Box 7": "7"}


def test_a_jacket_beside_the_grade_and_another_in_its_column_are_refused(tmp_path: Path) -> None:
    _, rows = of_text(tmp_path, "key,grade,jacket\nA,VG/G,G\nB,VG/G,none\n", ListKind.COPIES)
    assert reasons(rows) == [None, RowReason.JACKET_TWICE]


def test_a_jacket_may_be_known_without_a_grade() -> None:
    assert [jacket_read(word) for word in ("yes", "ja", "avec jaquette", "DJ")] == ["yes"] * 4


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("Box #7", "7"),
        ("Karton Nr. 12", "12"),
        ("Caisse n° 4", "4"),
        ("箱 5", "5"),
        ("Caja nº 9", "9"),
        ("B3", None),
        ("B1-56", None),
        ("Shelf 3", None),
        ("Box 3 and 4", None),
    ],
)
def test_boxes_are_written_with_their_word(text: str, digits: str | None) -> None:
    assert box_read(text) == digits


def test_a_jacket_in_the_abbreviations_of_german_catalogs() -> None:
    """OU: Originalumschlag, SU: Schutzumschlag; common practice of the trade, no source."""
    assert [jacket_read(word) for word in ("mit OU", "m. OU", "mit SU", "Originalumschlag")] == ["yes"] * 4
    assert [jacket_read(word) for word in ("ohne OU", "o. OU", "ohne SU", "ohne Originalumschlag")] == ["none"] * 4


@pytest.mark.parametrize(
    ("header", "cure"),
    [
        ("key,jacket", '--map "condition=jacket"'),
        ("key,Zustand,jacket", '--map "note=jacket"'),
        ("key,Zustand,jacket,note", "--map jacket="),
    ],
)
def test_a_word_that_is_no_grade_is_kept_where_no_other_column_is_pushed_out(
    tmp_path: Path, header: str, cure: str
) -> None:
    columns = header.split(",")
    row = ",".join("stained" if column == "jacket" else "A" for column in columns)
    (bad,) = of_text(tmp_path, f"{header}\n{row}\n", ListKind.COPIES)[1]
    assert isinstance(bad, BadRow)
    assert cure in bad_row_sentence(bad)
    field, heading = cure.removeprefix("--map ").strip('"').split("=")
    guess, rows = of_text(tmp_path, f"{header}\n{row}\n", ListKind.COPIES, ListReading(mapping={field: heading}))
    assert reasons(rows) == [None]
    assert {column.guess.heading for column in guess.columns if not column.guess.field} <= {"jacket"} - {heading}


@pytest.mark.parametrize(
    ("texts", "field", "hint"),
    [
        (("sehr gut", "gut", "wie neu"), "grade", False),
        (("sehr gut", "gut", "befriedigend"), "condition", True),
        (("sehr gut", "Rücken best.", "stockfl."), "condition", False),
    ],
)
def test_a_column_of_grades_is_the_grade_and_of_grades_but_a_few_says_so(
    tmp_path: Path, texts: tuple[str, ...], field: str, hint: bool
) -> None:
    text = "key,Zustand\n" + "".join(f"K,{text}\n" for text in texts)
    guess, rows = of_text(tmp_path, text, ListKind.COPIES)
    assert guess.columns[1].guess.field == field
    assert reasons(rows) == [None] * len(texts)
    assert (Remark.GRADES_AS_TEXT in guess.columns[1].remarks) is hint
    (said,) = [line for line in guess_lines("list.csv", guess) if "--map grade=Zustand" in line] or [""]
    assert bool(said) is hint
    assert ("none, first on line 4: 'befriedigend';" in said) is hint
    told = ListReading(mapping={"condition": "Zustand"})
    assert of_text(tmp_path, text, ListKind.COPIES, told)[0].columns[1].guess.field == "condition"
