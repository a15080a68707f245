"""What a person is told of a list: what is assumed, what is wrong with a row and the cure. All invented."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from intake.edges.exchange.text_encoding import find_encoding
from intake.edges.store.library import Library
from intake.errors import FileError
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_copy import plan_copy_edit
from intake.flow.lists.guess_words import guess_lines
from intake.flow.lists.import_file import ListAudience, import_file
from intake.flow.lists.import_list import ImportResult, ListKind
from intake.flow.lists.import_words import import_lines
from intake.flow.lists.list_guess import ListReading
from intake.flow.lists.list_words import unlisted_sentence
from intake.flow.lists.lot_plan import LeftRoom, UnlistedCopy
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.lists.size_orders import SizeOrder
from intake.flow.lists.written_sizes import sides_mm
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState, Grade
from intake.model.valuations import Basis
from tests.flow.conftest import import_text
from tests.made_library import new_library

TODAY = date(2026, 3, 31)


class Told:
    """An empty library to import lists into, and what was said of the last."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.lines: list[str] = []
        new_library(folder / "library").close()

    def take(self, kind: ListKind, text: str, reading: ListReading | None = None, **choices: bool) -> ImportResult:
        (self.folder / "list.csv").write_text(text, encoding="utf-8")
        audience = ListAudience(show=lambda guess: self.lines.extend(guess_lines("list.csv", guess)))
        return import_file(
            self.folder / "library", kind, self.folder / "list.csv",
            reading=reading, audience=audience, station="test", today=TODAY, **choices,
        )  # fmt: skip


@pytest.fixture
def told(tmp_path: Path) -> Told:
    return Told(tmp_path)


def test_a_volume_without_a_set_and_a_board_that_no_table_has_are_told_once(told: Told) -> None:
    text = "key,title,set,volume\nK1,Salt,Minerals,1\nK2,Iron,,2\nK3,Chalk,,3\nK4,Flint,,\n"
    result = told.take(ListKind.EDITIONS, text)
    (said,) = (line for line in import_lines("list.csv", result, today=TODAY) if "no set" in line)
    assert said.startswith("list.csv: lines 3 and 4 name a volume but no set")
    assert not told.take(ListKind.EDITIONS, text).doubts.without_set, "only what is new is told"
    shelves = "room,bookcase,shelf,material\nHall,A,1,oak\nHall,A,2,pinho\nHall,A,3,oak veneer\nHall,A,4,\n"
    result = told.take(ListKind.PLACES, shelves)
    assert result.doubts.materials == {"pinho": [3], "oak veneer": [4]}
    assert "list.csv: no table has the boards 'pinho' (line 3): the sag of this shelf is not known" in import_lines(
        "list.csv", result, today=TODAY
    )


def test_values_that_a_list_does_not_date_are_counted_by_their_basis(library: Library, tmp_path: Path) -> None:
    text = "key,value,currency,basis,valued_on\nF1,5,EUR,purchase,\nG1,6,EUR,purchase,2020-01-02\nG2,7,EUR,,\n"
    result = import_text(library, tmp_path, ListKind.COPIES, text, dry_run=True)
    assert result.undated == {Basis.PURCHASE: 1, Basis.REPLACEMENT: 1}


@pytest.mark.parametrize(
    ("heading", "basis"), [("Price paid", "purchase"), ("Ladenpreis EUR", "replacement"), ("Value", "replacement")]
)
def test_the_basis_of_a_value_is_said_with_its_column(heading: str, basis: str, told: Told) -> None:
    told.take(ListKind.EDITIONS, "key,title\nK1,Salt\n")
    told.take(ListKind.COPIES, f"key,currency,{heading}\nK1,EUR,5.00\n")
    (line,) = (line for line in told.lines if f"{heading} →" in line)
    assert f"as the {basis} value" in line


def test_it_is_not_said_that_a_list_lost_what_a_row_may_mean_that_cannot_be_used() -> None:
    unlisted = UnlistedCopy("A5-12", "Ferns", None)
    assert "no longer" in unlisted_sentence(unlisted)
    assert "no longer" not in unlisted_sentence(unlisted, is_whole=False)


def test_value_and_day_of_a_row_are_told_together(told: Told) -> None:
    text = "key,Price paid,Date bought\nK1,80 F,nov. 1985\nK1,$5,spring 2018\nK1,5 EUR,spring 2018\nK1,5,spring 2018\n"
    bad = told.take(ListKind.COPIES, text).bad_rows
    assert [[fault.reason for fault in row.faults] for row in bad] == [
        [RowReason.CURRENCY_SIGN_UNKNOWN, RowReason.DAY_MISSING],
        [RowReason.CURRENCY_SHARED, RowReason.DAY_MISSING],
        [RowReason.DAY_MISSING],
        [RowReason.DAY_MISSING, RowReason.CURRENCY_MISSING],
    ]
    assert "'F' is no currency" in bad_row_sentence(bad[0])


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("spring 2018", RowReason.DAY_MISSING),
        ("ca. 1985", RowReason.DAY_MISSING),
        ("11/1985", RowReason.DAY_MISSING),
        ("1985-11", RowReason.DAY_MISSING),
        ("昭和60年", RowReason.NOT_A_DATE),
        ("1985年11月", RowReason.DAY_MISSING),
        ("31.11.1985", RowReason.NOT_A_DATE),
        ("soon", RowReason.NOT_A_DATE),
    ],
)
def test_a_month_or_a_season_is_refused_as_no_day(text: str, reason: RowReason, told: Told) -> None:
    (bad,) = told.take(ListKind.COPIES, f"key,Price paid,Date bought\nK1,5 EUR,{text}\n").bad_rows
    assert bad.reason is reason


def test_a_price_of_an_edition_is_named_as_such_and_takes_the_currency_that_is_given(told: Told) -> None:
    text = "key,title,price\nK1,Salt,12.50\nK2,Iron,$9\n"
    bad = told.take(ListKind.EDITIONS, text).bad_rows
    assert [row.reason for row in bad] == [RowReason.CURRENCY_MISSING, RowReason.CURRENCY_SHARED]
    for row in bad:
        sentence = bad_row_sentence(row)
        assert (sentence.startswith("price "), "--unit price=" in sentence) == (True, True)
    result = told.take(ListKind.EDITIONS, text, ListReading(units={"price": "usd"}))
    assert (result.bad_rows, result.made) == ((), 2)


def test_the_day_of_a_value_may_be_left_empty_and_a_value_may_not(told: Told) -> None:
    told.take(ListKind.EDITIONS, "key,title\nK1,Salt\n")
    text = "key,value,currency,valued_on\nK1,5,EUR,spring 2018\nK1,6,EUR,2018年4月1日\nK1,five,EUR,\n"
    result = told.take(ListKind.COPIES, text, ListReading(empty_bad_cells=True), skip_bad_rows=True)
    assert [(fault.line, fault.reason) for fault in result.left_empty] == [(2, RowReason.DAY_MISSING)]
    assert [row.line for row in result.bad_rows] == [4]
    assert result.undated == {Basis.REPLACEMENT: 1}


def test_of_many_words_that_are_read_otherwise_no_count_is_stated_that_nobody_took(told: Told) -> None:
    told.take(ListKind.EDITIONS, "key,title\nK1,Salt\n")
    told.take(ListKind.COPIES, "key,box\n" + "".join(f"K1,Kiste {number}\n" for number in range(1, 301)))
    (line,) = (line for line in told.lines if "read: Kiste 1 as 1" in line)
    assert line.endswith("and at least 176 more")


def test_a_column_that_is_used_already_is_not_proposed_for_another_field(told: Told) -> None:
    with pytest.raises(FileError) as caught:
        told.take(ListKind.EDITIONS, "State,Titles of it,Author\nVG,Salt,Bo Lind\n")
    assert "title=State" not in str(caught.value)


def test_a_row_of_one_word_for_a_total_is_left_out_of_a_list_of_several_columns(told: Told) -> None:
    told.take(ListKind.EDITIONS, "key,title,pages\nK1,Salt,10\nK2,Iron,20\n,Total,\n")
    assert any("'Total'" in line and "totals" in line for line in told.lines)


def test_a_japanese_list_is_asked_about_and_not_taken_for_chinese(tmp_path: Path) -> None:
    text = "書名,著者,サイズ\n沼の虫 上巻,森下綾,縦26×横19cm\n"
    (tmp_path / "list.csv").write_bytes(text.encode("cp932"))
    found = find_encoding(tmp_path / "list.csv")
    assert found == "cp932" or (not isinstance(found, str) and found[0].codec == "cp932")


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("縦26×横19cm", {"height_mm": 260, "width_mm": 190}),
        ("B 17 x H 24 cm", {"height_mm": 240, "width_mm": 170}),
        ("Höhe 24 x Breite 17 x Dicke 3 cm", {"height_mm": 240, "width_mm": 170, "thickness_mm": 30}),
        ("17 x 24 cm", {"height_mm": 240, "width_mm": 170}),
    ],
)
def test_sides_that_are_named_in_the_cell_need_no_order(text: str, sizes: dict[str, float]) -> None:
    assert sides_mm(text, "cm", SizeOrder.WIDTH_HEIGHT) == sizes


def test_grades_are_typed_as_lists_have_them(library: Library) -> None:
    with library.reading() as reader:
        plan = plan_copy_edit(reader, "A1", values=["grade=VG+", "jacket=NF"], station="test")
    apply_correction(library, plan)
    with library.reading() as reader:
        copy = reader.get(Copy, "A1-59")
    assert copy is not None
    assert (copy.grade, copy.jacket, copy.has_jacket) == (Grade.VERY_GOOD, Grade.NEAR_FINE, True)


def test_a_row_of_a_withdrawn_copy_is_told_of(library: Library, tmp_path: Path) -> None:
    text = "copy,key\nA1-59,F1\nA2-50,G1\n"
    with library.reading() as reader:
        before = reader.get(Copy, "A1-59")
    assert before is not None
    gone = replace(before, state=CopyState.WITHDRAWN, box=None)
    library.apply(Action(ActionKind.WITHDRAW_COPIES, "A1-59"), (Change(before, gone),))
    result = import_text(library, tmp_path, ListKind.COPIES, text)
    assert (result.unchanged, result.withdrawn) == (2, ((2, "A1-59"),))


def test_a_room_that_no_box_gets_is_said(told: Told) -> None:
    told.take(ListKind.EDITIONS, "key,title\nR1,Salt\nR2,Silt\nR3,Sand\nR4,Clay\n")
    text = "key,box,room\nR1,,Kitchen\nR2,3,\nR3,3,Kitchen\nR4,3,Attic\nR4,3,kitchen\n"
    result = told.take(ListKind.COPIES, text)
    box = result.rooms[1].box
    assert result.rooms == (LeftRoom(2, "Kitchen"), LeftRoom(5, "Attic", box, "Kitchen", 4))
    assert result.made_of[Box] == 1
    assert Box not in result.altered_of
    again = told.take(ListKind.COPIES, "key,box,room\nR4,3,Attic\n", dry_run=True)
    assert again.rooms == (LeftRoom(2, "Attic", box, "Kitchen"),)
    (told_line,) = (line for line in import_lines("list.csv", again, today=TODAY) if "Attic" in line)
    assert "list of boxes" in told_line
