"""Whole lists into a library: what is made, what is refused, and that nothing is made twice."""

from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.boxes import list_boxes
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key, editions_by_number
from intake.edges.store.queries.ledger_entries import ledger_head
from intake.edges.store.queries.values import valuations_of
from intake.errors import FileError
from intake.flow.lists.import_list import ListKind
from intake.flow.lists.reasons import RowReason
from intake.flow.undo import undo
from intake.model.editions import CopyState, Grade
from intake.model.valuations import Basis
from tests.flow.conftest import CATALOG, COPIES, SHELVES, import_text


def test_a_list_imported_again_changes_nothing(library: Library, tmp_path: Path) -> None:
    for kind, text in ((ListKind.EDITIONS, CATALOG), (ListKind.PLACES, SHELVES), (ListKind.COPIES, COPIES)):
        again = import_text(library, tmp_path, kind, text)
        assert (again.made, again.altered, again.entries) == (0, 0, ())
        assert again.unchanged == len(text.strip().splitlines()) - 1


def test_what_a_corrected_row_says_is_taken_over_and_an_empty_cell_takes_nothing_away(
    library: Library, tmp_path: Path
) -> None:
    result = import_text(library, tmp_path, ListKind.EDITIONS, "key,title,year,subject\nG1,A Guide to Gulls,1981,\n")
    assert (result.made, result.altered) == (0, 1)
    with library.reading() as records:
        edition = edition_by_key(records, "G1")
    assert edition is not None
    assert (edition.year, edition.subject, edition.number) == (1981, "Birds", "9780804429573")


def test_one_bad_row_stops_the_whole_list_unless_told_otherwise(library: Library, tmp_path: Path) -> None:
    text = "title,isbn\nGood One,9780110002224\nBad One,9780110002225\n,9783161484100\n"
    result = import_text(library, tmp_path, ListKind.EDITIONS, text)
    assert result.entries == ()
    assert [bad.line for bad in result.bad_rows] == [3, 4]
    assert (result.bad_rows[0].reason, result.bad_rows[0].facts["repair"]) == (
        RowReason.NUMBER_REPAIRABLE,
        "978-0-11-000222-4",
    )
    assert (result.bad_rows[1].reason, result.bad_rows[1].facts) == (RowReason.EMPTY, {"field": "title"})
    with library.reading() as records:
        assert not editions_by_number(records, "9780110002224")
    skipped = import_text(library, tmp_path, ListKind.EDITIONS, text, skip_bad_rows=True)
    assert skipped.made == 1
    with library.reading() as records:
        assert editions_by_number(records, "9780110002224")


def test_a_dry_run_changes_nothing(library: Library, tmp_path: Path) -> None:
    with library.reading() as records:
        head = ledger_head(records)
    result = import_text(library, tmp_path, ListKind.EDITIONS, "title\nNew One\n", dry_run=True)
    assert (result.made, result.entries) == (1, ())
    with library.reading() as records:
        assert ledger_head(records) == head


def test_a_missing_column_is_refused_before_anything_is_read(library: Library, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="title"):
        import_text(library, tmp_path, ListKind.EDITIONS, "name_of_it,isbn\nA,9780110002224\n")


def test_box_lists_make_copies_boxes_and_exact_values(library: Library) -> None:
    with library.reading() as records:
        edition = edition_by_key(records, "P5")
        assert edition is not None
        (copy,) = copies_of_editions(records, [edition.id])
        (value,) = valuations_of(records, copy.accession)
        boxes = list_boxes(records)
    assert (copy.state, copy.grade, copy.has_jacket) == (CopyState.PACKED, Grade.GOOD, None)
    assert (value.amount, value.currency, value.basis) == (Decimal("4.50"), "EUR", Basis.REPLACEMENT)
    assert [box.room for box in boxes] == ["Study", "Study"]


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("1,NOPE,,,", RowReason.EDITION_UNKNOWN),
        ("1,9780110002224,,,", RowReason.EDITION_UNKNOWN),
        ("1,F1,Lovely,,", RowReason.NOT_A_WORD),
        ("1,F1,,10,", RowReason.CURRENCY_MISSING),
        ("x,F1,,,", RowReason.BOX_NUMBER_NONE),
    ],
)
def test_a_row_that_cannot_be_used_says_why(library: Library, tmp_path: Path, row: str, reason: RowReason) -> None:
    result = import_text(library, tmp_path, ListKind.COPIES, f"box,key,grade,value,currency\n{row}\n")
    assert [(bad.line, bad.reason) for bad in result.bad_rows] == [(2, reason)]


def test_another_copy_of_an_edition_in_the_box_is_one_more(library: Library, tmp_path: Path) -> None:
    result = import_text(library, tmp_path, ListKind.COPIES, "box,key\n1,F1\n1,F1\n")
    assert (result.made, result.unchanged) == (1, 1)


def test_an_import_is_taken_back_whole(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n7,F1\n7,G2\n")
    undo(library, station="test")
    with library.reading() as records:
        assert [box.number[:2] for box in list_boxes(records)] == ["B1", "B2"]


def test_boxes_and_their_consignment(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.BOXES, "box,gross_g,seal\n1,12000,Q1\n2,9000,Q2\n")
    result = import_text(library, tmp_path, ListKind.CONSIGNMENT, "reference,carrier,boxes\nR-1,Invented Haulage,all\n")
    assert (result.made, result.altered) == (1, 2)
    assert import_text(library, tmp_path, ListKind.BOXES, "box,seal\n1,\n").unchanged == 1
    twice = import_text(library, tmp_path, ListKind.BOXES, "box\n1\n1\n")
    assert twice.bad_rows[0].reason is RowReason.SAME_BOX
    with library.reading() as records:
        assert [(box.consignment, box.gross_g, box.seal) for box in list_boxes(records)] == [
            ("R-1", 12000.0, "Q1"),
            ("R-1", 9000.0, "Q2"),
        ]
