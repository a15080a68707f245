"""The same box list again: what it says anew is altered, what it said before is left alone. All invented."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.sheets import read_csv
from intake.edges.store.library import Library
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.values import latest_valuations, valuations_of
from intake.errors import RefusedError
from intake.flow.lists.export_records import ExportKind, export_records
from intake.flow.lists.import_file import import_file
from intake.flow.lists.import_list import ImportResult, ListKind, import_table
from intake.flow.lists.list_words import outdated_sentence, unlisted_sentence
from intake.flow.lists.lot_plan import LeftCell, UnlistedEdition
from intake.flow.lists.outcome_words import outcome_words
from intake.flow.lists.reasons import RowReason
from intake.flow.lists.row_words import bad_row_sentence
from intake.flow.lookup.resolve import find_edition
from intake.flow.moving import box_lifecycle
from intake.flow.undo import undo
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState, Grade
from intake.model.places import Place, PlaceKind
from intake.model.valuations import Basis, Valuation
from tests.drawn_examples import examples
from tests.flow.conftest import CATALOG, import_text
from tests.made_library import copy_library, new_library

HEADER = "copy,box,key,grade,wrapped,condition,note,value,currency,basis,valued_on,source\n"


def again(library: Library, folder: Path, text: str, *, dry_run: bool = False) -> ImportResult:
    return import_text(library, folder, ListKind.COPIES, text, dry_run=dry_run)


def counts(result: ImportResult) -> tuple[int, int, int]:
    assert result.bad_rows == (), [bad_row_sentence(bad) for bad in result.bad_rows]
    return result.made, result.altered, result.unchanged


def copies(library: Library) -> dict[str, Copy]:
    with library.reading() as reader:
        return {copy.accession: copy for copy in reader.all(Copy)}


def values(library: Library, accession: str) -> list[tuple[Decimal, date]]:
    with library.reading() as reader:
        return [(value.amount, value.on) for value in valuations_of(reader, accession)]


def alter(library: Library, accession: str, **fields: object) -> None:
    """Record something of a copy otherwise than by a list."""
    with library.reading() as reader:
        copy = reader.get(Copy, accession)
    assert copy is not None
    plain = {name: getattr(copy, name) for name in copy.__dataclass_fields__}
    library.apply(Action(ActionKind.INSPECT_COPY, accession), [Change(copy, Copy(**{**plain, **fields}))])


def test_why_a_copy_is_kept_is_said_again_and_corrected(empty: Library, tmp_path: Path) -> None:
    text = "key,box,kept,why\nF1,1,yes,read aloud on the crossing\nF1,1,,a spare one\n"
    assert counts(again(empty, tmp_path, text)) == (3, 0, 0)  # two copies and their box
    assert counts(again(empty, tmp_path, text)) == (0, 0, 2)
    swapped = "key,box,kept,why\nF1,1,,a spare one\nF1,1,yes,read aloud twice\n"
    assert counts(again(empty, tmp_path, swapped)) == (0, 1, 1)
    assert {(copy.kept, copy.why) for copy in copies(empty).values()} == {
        (True, "read aloud twice"),
        (False, "a spare one"),
    }


def test_a_reason_recorded_since_stays_where_the_list_says_the_same(empty: Library, tmp_path: Path) -> None:
    text = "key,box,kept,why\nF1,1,yes,a gift\n"
    again(empty, tmp_path, text)
    (accession,) = copies(empty)
    alter(empty, accession, why="a gift of the binder")
    result = again(empty, tmp_path, text)
    assert (counts(result), result.left) == ((0, 0, 1), 1)
    assert copies(empty)[accession].why == "a gift of the binder"


@pytest.fixture(scope="module")
def empty_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("empty")
    with new_library(folder / "library") as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
    return folder / "library"


@pytest.fixture
def empty(empty_made: Path, tmp_path: Path) -> Iterator[Library]:
    """A catalog without a copy."""
    with copy_library(empty_made, tmp_path / "library") as library:
        yield library


def test_copies_in_no_box_are_not_doubled(empty: Library, tmp_path: Path) -> None:
    text = "key,value,currency\nF1,120,EUR\nF1,,\nG1,5.50,EUR\n"
    assert counts(again(empty, tmp_path, text)) == (5, 0, 0)
    before = copies(empty)
    assert counts(again(empty, tmp_path, text)) == (0, 0, 3)
    assert copies(empty) == before
    assert counts(again(empty, tmp_path, text + "F1,,\n")) == (1, 0, 3), "a third copy of the edition is new"


def test_a_corrected_list_alters_the_copies_that_it_means(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, HEADER + ",1,F1,Fine,yes,,,120,EUR,,,\n,1,F1,Good,yes,,,,,,,\n,,G1,,,,,,,,,\n")
    corrected = HEADER + ",1,F1,Fine,no,spine: faded,,130,EUR,,,\n,1,F1,Fair,yes,,,,,,,\n,,G1,,,,lent,,,,,\n"
    dry = again(empty, tmp_path, corrected, dry_run=True)
    assert counts(dry) == counts(again(empty, tmp_path, corrected)) == (1, 3, 0)
    first, second, third = copies(empty).values()
    assert (first.grade, first.wrapped, first.condition) == (Grade.FINE, False, "spine: faded")
    assert (second.grade, second.wrapped, third.note) == (Grade.FAIR, True, "lent")
    assert values(empty, first.accession) == [(Decimal(120), date(2026, 3, 31)), (Decimal(130), date(2026, 3, 31))]
    assert counts(again(empty, tmp_path, corrected)) == (0, 0, 3)


def test_an_unchanged_list_leaves_what_was_recorded_since(empty: Library, tmp_path: Path) -> None:
    """An inspection found the copy worse, it was packed into another box and valued anew; then the old list comes."""
    text = HEADER + ",1,F1,Fine,,,,120,EUR,,2026-01-15,\n,,G1,Good,,,,50,EUR,,,\n"
    again(empty, tmp_path, text)
    with empty.reading() as reader:
        assert reader.get(Box, "B1-56") is not None
    box_lifecycle.open_box(empty, Box(number="2"), station="test")
    alter(empty, "A1-59", grade=Grade.POOR, box="B2-47")
    alter(empty, "A2-50", box="B2-47", state=CopyState.PACKED)
    later = Valuation(
        id=9, copy="A1-59", amount=Decimal(80), currency="EUR", on=date(2026, 3, 1),
        basis=next(iter(empty_values(empty))).basis,
    )  # fmt: skip
    empty.apply(Action(ActionKind.VALUE_COPY, "A1-59"), [Change(None, later)])
    before = copies(empty)
    result = again(empty, tmp_path, text)
    assert (counts(result), result.unlisted) == ((0, 0, 2), ())
    assert copies(empty) == before
    corrected = text.replace("50,EUR", "60,EUR").replace(",Fine,,,", ",Fine,,,rare")
    assert counts(again(empty, tmp_path, corrected)) == (1, 1, 0), "a value, and a note beside the grade that stays"
    assert copies(empty)["A1-59"].grade is Grade.POOR
    assert counts(again(empty, tmp_path, corrected)) == (0, 0, 2)


def empty_values(library: Library) -> tuple[Valuation, ...]:
    with library.reading() as reader:
        return reader.all(Valuation)


def test_a_list_that_names_another_box_moves_the_copy(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n1,G1\n2,G2\n")
    assert counts(again(empty, tmp_path, "box,key\n1,F1\n2,G1\n2,G2\n")) == (0, 1, 2)
    assert [copy.box for copy in copies(empty).values()] == ["B1-56", "B2-47", "B2-47"]
    box_lifecycle.close_box(empty, "2", station="test")
    refused = again(empty, tmp_path, "box,key\n1,F1\n1,G1\n2,G2\n")
    assert [(bad.line, bad.reason) for bad in refused.bad_rows] == [(3, RowReason.COPY_NOT_MOVABLE)]


def test_another_list_of_the_same_name_moves_nothing(empty: Library, tmp_path: Path) -> None:
    """Two lists of one box each are called copies.csv: two copies of the edition, not one that was moved."""
    again(empty, tmp_path, "box,key\n1,F1\n1,G1\n1,G2\n")
    other = again(empty, tmp_path, "box,key\n2,F1\n2,G1\n")
    assert counts(other) == (3, 0, 0)
    assert [copy.accession for copy in other.unlisted] == ["A1-59", "A2-50", "A3-41"]
    assert len(copies(empty)) == 5


def test_a_copy_that_the_list_no_longer_has_is_told_and_stays(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n1,G1\n,G2\n")
    for dry_run in (True, False):
        shorter = again(empty, tmp_path, "box,key\n1,F1\n", dry_run=dry_run)
        assert (counts(shorter), [copy.accession for copy in shorter.unlisted]) == ((0, 0, 1), ["A2-50", "A3-41"])
        assert "A Guide to Gulls" in unlisted_sentence(shorter.unlisted[0])
    assert len(copies(empty)) == 3


def test_an_import_that_was_taken_back_was_no_earlier_import(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n")
    undo(empty, station="test")
    result = again(empty, tmp_path, "box,key\n1,G1\n")
    assert (counts(result), result.unlisted) == ((2, 0, 0), ())


def test_a_copy_named_by_its_own_number_is_corrected(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n1,F1\n,977026435900-8 05\n")
    text = HEADER + "2,,F1,,,,second,,,,,\nA1-59,2,,,,,first,,,,,\n3,,977026435900-8,,,,third,,,,,\n"
    assert counts(again(empty, tmp_path, text)) == (1, 3, 0), "box 2 is new"
    assert [(copy.note, copy.box) for copy in copies(empty).values()] == [
        ("first", "B2-47"), ("second", "B1-56"), ("third", None),
    ]  # fmt: skip
    assert counts(again(empty, tmp_path, text)) == (0, 0, 3)


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("7,,,,,,,,,,,", RowReason.COPY_UNKNOWN),
        ("1,,G1,,,,,,,,,", RowReason.COPY_OF_ANOTHER_EDITION),
        ("B1-56,,F1,,,,,,,,,", RowReason.COPY_NUMBER_REJECTED),
        (",,,,,,,,,,,EUR", RowReason.NO_EDITION_NAMED),
    ],
)
def test_a_copy_that_a_row_cannot_mean(empty: Library, tmp_path: Path, row: str, reason: RowReason) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n")
    assert [bad.reason for bad in again(empty, tmp_path, f"{HEADER}{row}\n").bad_rows] == [reason]


def test_two_rows_cannot_mean_one_copy(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key\n1,F1\n")
    result = again(empty, tmp_path, "copy,box,key\n1,1,F1\n1,,F1\n")
    assert [(bad.line, bad.reason, bad.facts) for bad in result.bad_rows] == [
        (3, RowReason.SAME_COPY, {"copy": "A1-59", "earlier": 2})
    ]


def test_a_value_equal_to_the_recorded_one_is_no_new_valuation(empty: Library, tmp_path: Path) -> None:
    head = "key,value,currency,basis,valued_on,source\n"
    again(empty, tmp_path, head + "F1,120,EUR,market,2026-01-15,\n")
    for row, made, altered in (
        ("F1,120.00,eur,market,2026-01-15,", 0, 0),
        ("F1,120,EUR,market,,", 0, 0),  # of no day: the latest
        ("F1,120,EUR,market,2026-01-15,a letter", 0, 1),
        ("F1,120,EUR,market,2026-02-15,", 1, 0),
        ("F1,120,EUR,agreed,2026-02-15,", 1, 0),
        ("F1,120,USD,market,2026-02-15,", 1, 0),
    ):
        assert counts(again(empty, tmp_path, f"{head}{row}\n"))[:2] == (made, altered), row
        assert counts(again(empty, tmp_path, f"{head}{row}\n")) == (0, 0, 1), row


def test_a_value_that_comes_back_is_the_one_that_counts_again(empty: Library, tmp_path: Path) -> None:
    """A dated value is mistyped and corrected back, while the price paid beside it goes through the same list."""
    head = "key,value,currency,basis,valued_on\n"
    for amount in (4500, 5400, 4500, 5400):
        for basis, paid in (("replacement", amount), ("purchase", amount // 100)):
            row = f"F1,{paid},EUR,{basis},2025-06-30\n"
            result = again(empty, tmp_path, head + row)
            assert (result.made_of[Valuation], result.altered, result.bad_rows) == (1, 0, ())
            assert counts(again(empty, tmp_path, head + row)) == (0, 0, 1)
        with empty.reading() as reader:
            (counted,) = latest_valuations(reader, Basis.REPLACEMENT).values()
            (bought,) = latest_valuations(reader, Basis.PURCHASE).values()
        assert (int(counted.amount), int(bought.amount)) == (amount, amount // 100)
    alter_value(empty, "A1-59", 6000, Basis.REPLACEMENT, date(2025, 6, 30))
    assert counts(again(empty, tmp_path, f"{head}F1,5400,EUR,replacement,2025-06-30\n")) == (0, 0, 1), "said before"
    assert counts(again(empty, tmp_path, f"{head}F1,4500,EUR,replacement,2025-06-30\n")) == (1, 0, 0), "said anew"


def test_a_value_that_does_not_count_since_a_later_one_does_is_told(empty: Library, tmp_path: Path) -> None:
    """The day of a value is mistyped and corrected back; then a person values the copy, and the list comes again."""
    head = "key,value,currency,basis,valued_on\n"
    first, mistyped = (f"{head}F1,{amount},EUR,market,{day}-06-30\n" for amount, day in ((4500, 2024), (5400, 2025)))
    assert again(empty, tmp_path, first).outdated == again(empty, tmp_path, mistyped).outdated == ()
    result = again(empty, tmp_path, first)
    (row,) = result.outdated
    assert (counts(result), row.line, row.notes.outdated and row.notes.outdated.later.amount) == (
        (0, 0, 1),
        2,
        Decimal(5400),
    )
    assert outdated_sentence(row, "line").startswith("line 2: EUR 4500 of 2024-06-30 does not count for A1-59")
    alter_value(empty, "A1-59", 6000, Basis.MARKET, date(2026, 1, 1))
    result = again(empty, tmp_path, mistyped)
    assert (counts(result), result.outdated, result.left) == ((0, 0, 1), (), 1), (
        "recorded since, and the list as before"
    )


def alter_value(library: Library, accession: str, amount: int, basis: Basis, on: date) -> None:
    """Record a value of a copy otherwise than by a list."""
    value = Valuation(id=99, copy=accession, amount=Decimal(amount), currency="EUR", on=on, basis=basis)
    library.apply(Action(ActionKind.VALUE_COPY, accession), [Change(None, value)])


def test_box_numbers_are_as_the_person_wrote_them(empty: Library, tmp_path: Path) -> None:
    """Six hundred boxes by their digits, among them those that are also a number with its check digits."""
    rows = "".join(f"{box},F1\n" for box in range(1, 601))
    assert counts(again(empty, tmp_path, f"box,key\n{rows}")) == (1200, 0, 0)
    with empty.reading() as reader:
        assert sorted(int(box.number[1:-3]) for box in reader.all(Box)) == list(range(1, 601))
    assert counts(again(empty, tmp_path, f"box,key\n{rows}")) == (0, 0, 600)
    assert counts(again(empty, tmp_path, "box,key\nB156-19,F1\nbox 247,F1\nB1-56,F1\n")) == (0, 0, 3)
    undivided = again(empty, tmp_path, "box,key\nB156,F1\nB157,F1\n")
    assert [bad.reason for bad in undivided.bad_rows] == [RowReason.BOX_NUMBER_UNDIVIDED] * 2


def test_row_by_row_what_a_list_changes(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, "box,key,grade\n1,F1,Fine\n1,G1,Good\n")
    file = tmp_path / "copies.csv"
    file.write_text("box,key,grade,value,currency\n1,F1,Poor,5,EUR\n1,G1,Good,,\n3,G2,Fine,,\n", encoding="utf-8")
    result = import_table(
        empty, ListKind.COPIES, read_csv(file), file="copies.csv", dry_run=True, by_row=True, station="test",
        today=date(2026, 3, 31),
    )  # fmt: skip
    value = "new value (EUR 5.00, 2026-03-31, replacement)"
    assert [(row.line, outcome_words(row)) for row in result.rows] == [
        (2, f"Ferns of the Outer Isles: copy A1-59: grade Fine -> Poor; {value}"),
        (3, "A Guide to Gulls: unchanged"),
        (4, "A Guide to Gulls: new box B3-38; new copy (packed, box B3-38, grade Fine)"),
    ]  # fmt: skip


Row = tuple[str, str, str, str]


def test_other_lists_leave_what_was_recorded_since_too(empty: Library, tmp_path: Path) -> None:
    """A box was weighed again and an edition corrected; the old lists bring back neither, their corrections come in."""
    boxes = "box,tare_g,gross_g,note\n1,800,20000,\n2,800,,\n"
    import_text(empty, tmp_path, ListKind.BOXES, boxes)
    with empty.reading() as reader:
        box = reader.get(Box, "B1-56")
        edition = edition_by_key(reader, "G1")
    assert box is not None
    assert edition is not None
    weighed = replace(box, gross_g=21000.0)
    empty.apply(Action(ActionKind.WEIGH_BOX, box.number), [Change(box, weighed)])
    corrected = replace(edition, title="A Guide to the Gulls")
    empty.apply(Action(ActionKind.EDIT_EDITION, "G1"), [Change(edition, corrected)])
    for kind, text in ((ListKind.BOXES, boxes), (ListKind.EDITIONS, CATALOG)):
        result = import_text(empty, tmp_path, kind, text)
        assert (result.made, result.altered, result.left) == (0, 0, 1)
    result = import_text(empty, tmp_path, ListKind.BOXES, boxes.replace("20000,", "20000,heavy"))
    assert counts(result) == (0, 1, 1)
    with empty.reading() as reader:
        assert reader.get(Box, "B1-56") == replace(weighed, note="heavy")
        assert edition_by_key(reader, "G1") == corrected
    assert counts(import_text(empty, tmp_path, ListKind.BOXES, boxes.replace("20000,", "20500,heavy"))) == (0, 1, 1)
    with empty.reading() as reader:
        assert reader.get(Box, "B1-56") == replace(weighed, note="heavy", gross_g=20500.0)


def test_the_same_shelf_said_twice_differently_keeps_its_last_size_and_what_was_measured(
    empty: Library, tmp_path: Path
) -> None:
    """The rows of a bookcase each state its width; where it was measured since, the first row's repeated cell stays."""
    head = "room,bookcase,shelf,width_mm,bookcase_width_mm,bookcase_depth_mm\n"
    import_text(empty, tmp_path, ListKind.PLACES, head + "Study,A,1,800,900,300\nStudy,A,2,800,,\n")
    with empty.reading() as reader:
        (case,) = [place for place in reader.all(Place) if place.kind is PlaceKind.BOOKCASE]
    empty.apply(Action(ActionKind.MAKE_BOOKCASE, case.number), [Change(case, replace(case, width_mm=910.0))])
    again = import_text(empty, tmp_path, ListKind.PLACES, head + "Study,A,1,800,900,300\nStudy,A,2,800,,320\n")
    assert (again.made, again.altered, again.left) == (0, 1, 1)
    with empty.reading() as reader:
        assert reader.get(Place, case.number) == replace(case, width_mm=910.0, depth_mm=320.0)


ROWS = st.tuples(
    st.sampled_from(["", "1", "2", "156"]),
    st.sampled_from(["F1", "G1", "O1"]),
    st.sampled_from(["", "Fine", "Poor"]),
    st.sampled_from(["", "5", "120.50"]),
)


PAIR = HEADER + ",1,F1,,,torn,first,100,EUR,,,\n,1,F1,,,clean,second,900,EUR,,,\n"
"""Two copies of one edition in one box."""


def listed(library: Library) -> dict[str, tuple[str, str, list[int]]]:
    """Return condition, note and values of each copy, by its number."""
    return {
        accession: (copy.condition, copy.note, [int(amount) for amount, _ in values(library, accession)])
        for accession, copy in copies(library).items()
    }


def test_a_row_with_an_own_number_makes_the_copy_of_that_number(empty: Library, tmp_path: Path) -> None:
    """Numbers with and without check digits (ISO/IEC 7064, MOD 97-10: 2 is A2-50, 105 is A105-93) among rows without.

    The copies without a number get those that are free, also where the list gives the next ones further down.
    """
    text = "copy,key,note\n,F1,none\n2,F1,two\nA1-59,G1,one\n105,F1,many\n,G1,none\n"
    assert counts(again(empty, tmp_path, text)) == (5, 0, 0)
    made = {accession: copy.note for accession, copy in copies(empty).items()}
    assert made == {"A1-59": "one", "A2-50": "two", "A105-93": "many", "A3-41": "none", "A4-32": "none"}
    assert counts(again(empty, tmp_path, text)) == (0, 0, 5)
    head, *rows = text.splitlines(keepends=True)
    shorter = again(empty, tmp_path, head + "".join(row for row in reversed(rows) if "two" not in row))
    assert (counts(shorter), [copy.accession for copy in shorter.unlisted]) == ((0, 0, 4), ["A2-50"])
    (wrong,) = again(empty, tmp_path, "copy,key\nA7-98,F1\n").bad_rows
    assert wrong.reason is RowReason.COPY_NUMBER_REJECTED


@pytest.mark.parametrize(
    "heading", ["Accession no.", "Inventory number", "N° d'inventaire", "Numero inventario", "Inventarienummer"]
)
def test_own_numbers_are_found_by_their_heading(empty: Library, tmp_path: Path, heading: str) -> None:
    assert counts(again(empty, tmp_path, f"{heading},key\n105,F1\n")) == (1, 0, 0)
    assert list(copies(empty)) == ["A105-93"]


@pytest.mark.parametrize("moved", ["A1-59", "A2-50"])
@pytest.mark.parametrize("box", [None, "B2-47"])
def test_two_copies_keep_their_data_wherever_one_of_them_lies_since(
    empty: Library, tmp_path: Path, moved: str, box: str | None
) -> None:
    again(empty, tmp_path, PAIR)
    box_lifecycle.open_box(empty, Box(number="2"), station="test")
    alter(empty, moved, box=box, state=CopyState.PACKED if box else CopyState.AT_HAND)
    before = copies(empty), listed(empty)
    assert counts(again(empty, tmp_path, PAIR)) == (0, 0, 2)
    assert (copies(empty), listed(empty)) == before
    head, first, second = PAIR.splitlines(keepends=True)
    assert counts(again(empty, tmp_path, head + second + first)) == (0, 0, 2), "in another order"
    mended = head + first.replace("torn", "mended") + second.replace("clean", "spotless")
    assert counts(again(empty, tmp_path, mended)) == (0, 2, 0)
    assert listed(empty) == {"A1-59": ("mended", "first", [100]), "A2-50": ("spotless", "second", [900])}


def test_what_was_recorded_since_and_is_overwritten_is_told(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, PAIR)
    alter(empty, "A1-59", condition="mended")
    assert again(empty, tmp_path, PAIR).overwritten == ()
    torn = PAIR.replace("torn", "torn badly")
    for dry_run in (True, False):
        (row,) = again(empty, tmp_path, torn, dry_run=dry_run).overwritten
        assert (row.line, row.notes.overwritten) == (2, (LeftCell("condition", "mended", "torn badly"),))
    assert again(empty, tmp_path, torn.replace("badly", "in two")).overwritten == (), "the list's own words"
    with empty.reading() as reader:
        edition = edition_by_key(reader, "G1")
    assert edition is not None
    empty.apply(Action(ActionKind.EDIT_EDITION, "G1"), [Change(edition, replace(edition, year=1979))])
    (row,) = import_text(empty, tmp_path, ListKind.EDITIONS, CATALOG.replace(",1980,", ",1981,")).overwritten
    assert row.notes.overwritten == (LeftCell("year", 1979, 1981),)


def test_cells_that_a_corrected_list_empties_are_counted_and_change_nothing(empty: Library, tmp_path: Path) -> None:
    again(empty, tmp_path, PAIR)
    before = copies(empty), listed(empty)
    result = again(empty, tmp_path, PAIR.replace("torn", "").replace("900,EUR", ","))
    assert (counts(result), result.emptied) == ((0, 0, 2), {"condition": 1, "value": 1})
    assert (copies(empty), listed(empty)) == before
    assert again(empty, tmp_path, "box,key,note\n1,F1,first\n1,F1,second\n").emptied == {}, "of columns it has not"
    authors = import_text(empty, tmp_path, ListKind.EDITIONS, CATALOG.replace("Ada Thorn", ""))
    assert (counts(authors), authors.emptied) == ((0, 0, 7), {"contributors": 2})


def test_an_edition_that_the_list_no_longer_has_is_told_and_stays(empty: Library, tmp_path: Path) -> None:
    """Also one without key and number, whose corrected title is a new edition beside it: both are told."""
    lines = CATALOG.splitlines(keepends=True)
    shorter = "".join(line for line in lines if not line.startswith("G1"))
    for dry_run in (True, False):
        result = import_text(empty, tmp_path, ListKind.EDITIONS, shorter, dry_run=dry_run)
        assert (counts(result), result.unlisted_editions) == (
            (0, 0, 6), (UnlistedEdition("G1", "A Guide to Gulls"),)
        )  # fmt: skip
    head = "title,year\n"
    import_text(empty, tmp_path, ListKind.EDITIONS, head + "Old Tides,1901\nOld Winds,1902\n")
    result = import_text(empty, tmp_path, ListKind.EDITIONS, head + "Old Tides,1901\nOlder Winds,1902\n")
    assert result.made == 1
    assert UnlistedEdition("", "Old Winds", (3, "Older Winds")) in result.unlisted_editions
    text = "title,year,author\nOld Tides,1901,\nTwo Gales,1903,Ada\nOther Gales,1903,Ada\n"
    import_text(empty, tmp_path, ListKind.EDITIONS, text)
    result = import_text(empty, tmp_path, ListKind.EDITIONS, text.replace("Two", "Three").replace("Other", "All"))
    gone = {edition.title: edition.corrected for edition in result.unlisted_editions}
    assert (gone["Two Gales"], gone["Other Gales"]) == (None, None), "either may be meant"


def test_an_edition_is_named_by_its_title_where_only_one_has_it(empty: Library, tmp_path: Path) -> None:
    result = again(empty, tmp_path, "key,note\nOld Charts without a Number,mine\nOld Charts,no\nA Guide to Gulls,two\n")
    assert [(bad.line, bad.reason) for bad in result.bad_rows] == [
        (3, RowReason.EDITION_UNKNOWN), (4, RowReason.EDITION_AMBIGUOUS),
    ]  # fmt: skip
    assert counts(again(empty, tmp_path, "key,note\nOld Charts without a Number,mine\n")) == (1, 0, 0)
    with empty.reading() as reader:
        assert find_edition(reader, "Old Charts without a Number").key == "O1"
        with pytest.raises(RefusedError, match="means 2 editions"):
            find_edition(reader, "A Guide to Gulls")


@pytest.mark.parametrize("suffix", [".mrc", ".xml", ".xlsx"])
def test_own_records_of_editions_without_key_and_number_double_nothing(
    empty: Library, tmp_path: Path, suffix: str
) -> None:
    text = 'title,contributors,year\nOld Tides: a chart book,"Thorn, Ada",1901\nOld Winds,Bo Lind,\n'
    import_text(empty, tmp_path, ListKind.EDITIONS, text)
    file = tmp_path / f"editions{suffix}"
    form = "onix" if suffix == ".xml" else None
    export_records(empty, ExportKind.EDITIONS, file, format_=form, today=date(2026, 3, 31))
    result = import_file(empty.place, ListKind.EDITIONS, file, station="test", today=date(2026, 3, 31))
    assert (result.bad_rows, result.made, result.altered) == ((), 0, 0)


def test_a_new_key_belongs_to_the_edition_that_is_just_so(empty: Library, tmp_path: Path) -> None:
    """Another year or another author is another edition."""
    head = "key,title,contributors,year\n"
    import_text(empty, tmp_path, ListKind.EDITIONS, head + ",Old Tides,Ada Thorn,1901\n")
    later = import_text(empty, tmp_path, ListKind.EDITIONS, head + "T9,Old Tides,Ada Thorn,1909\n")
    keyed = import_text(empty, tmp_path, ListKind.EDITIONS, head + "T1,Old Tides,Ada Thorn,1901\n")
    assert ((later.made, later.altered), (keyed.made, keyed.altered)) == ((1, 0), (0, 1))
    with empty.reading() as reader:
        found = edition_by_key(reader, "T1")
    assert found is not None
    assert found.year == 1901


@pytest.mark.parametrize("name", ["copies.csv", "corrected.csv"])
def test_a_row_that_is_removed_leaves_the_other_copy_its_data(empty: Library, tmp_path: Path, name: str) -> None:
    """Then with the value and the condition of the second row corrected; under the name of the list or a new one."""
    again(empty, tmp_path, PAIR)
    head, _, second = PAIR.splitlines(keepends=True)
    file = tmp_path / name
    corrected = second.replace("900", "950")
    for row, made, altered in ((second, 0, 0), (corrected, 1, 0), (corrected.replace("clean", "soiled"), 0, 1)):
        file.write_text(head + row, encoding="utf-8")
        result = import_table(
            empty, ListKind.COPIES, read_csv(file), file=name, station="test", today=date(2026, 3, 31)
        )
        assert counts(result)[:2] == (made, altered)
        assert [copy.accession for copy in result.unlisted] == (["A1-59"] if name == "copies.csv" else [])
    assert listed(empty) == {"A1-59": ("torn", "first", [100]), "A2-50": ("soiled", "second", [900, 950])}


def test_a_row_that_is_new_in_every_cell_takes_no_copy_that_left_the_list(empty: Library, tmp_path: Path) -> None:
    """Of three copies one is sold and its row removed; later one is bought again, into another box or its old one."""
    head = "key,note,condition,value,currency,box\n"
    stay, sold = "F1,a gift,scuffed,100,EUR,1\n", "F1,from the fair,foxed,200,EUR,1\n"
    third = "F1,,,300,CHF,2\n"
    again(empty, tmp_path, head + stay + sold + third)
    assert [one.accession for one in again(empty, tmp_path, head + stay + third).unlisted] == ["A2-50"]
    before, rows = listed(empty), [stay, third]
    for box in "31":
        rows.append(f"F1,bought again for box {box},new,9{box},CHF,{box}\n")
        result = again(empty, tmp_path, head + "".join(rows))
        assert (result.made_of[Copy], result.altered) == (1, 0)
        assert counts(again(empty, tmp_path, head + "".join(rows))) == (0, 0, len(rows))
        now = listed(empty)
        assert {accession: now[accession] for accession in before} == before
        before = now
    moved = sold.replace("foxed", "foxed badly").replace("EUR,1", "EUR,2")
    result = again(empty, tmp_path, head + "".join([*rows, moved]))
    assert (counts(result), copies(empty)["A2-50"].box) == ((0, 1, 4), "B2-47"), "its note and value tell that it moved"


@settings(max_examples=examples(25), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(ROWS, max_size=12), st.lists(ROWS, max_size=12), st.randoms())
def test_any_list_twice_changes_nothing(
    tmp_path_factory: pytest.TempPathFactory, first: list[Row], second: list[Row], random: Random
) -> None:
    folder = tmp_path_factory.mktemp("same")
    with new_library(folder / "library", now=lambda: datetime(2026, 3, 31, tzinfo=UTC)) as library:
        import_text(library, folder, ListKind.EDITIONS, CATALOG)
        for rows in (first, second, random.sample(second, len(second))):
            lines = "".join(f"{box},{key},{grade},{value},EUR\n" for box, key, grade, value in rows)
            text = f"box,key,grade,value,currency\n{lines}"
            again(library, folder, text)
            before = copies(library)
            assert counts(again(library, folder, text)) == (0, 0, len(rows))
            assert copies(library) == before
            assert len(before) >= len(rows)
