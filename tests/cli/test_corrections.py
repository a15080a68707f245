"""Corrections on the command line: shown, made, taken back."""

from pathlib import Path

import pytest

from tests.cli.conftest import Intake
from tests.made_library import content, place_in


@pytest.fixture
def lists(stocked: Intake) -> Intake:
    """The small library with both its boxes open."""
    assert stocked("undo").status == stocked("undo").status == 0
    return stocked


@pytest.mark.parametrize(
    "arguments",
    [
        ("edition", "edit", "F1", "--set", "title=Ferns of the Outmost Isles"),
        ("edition", "merge", "G2", "--into", "G1", "--despite"),
        ("edition", "withdraw", "O1", "--reason", "lost for good", "--despite-box"),
        ("copy", "edit", "1", "--set", "grade=Good"),
        ("copy", "add", "G2", "--count", "2"),
        ("copy", "move", "1", "5", "--to-hand"),
        ("copy", "withdraw", "F1", "--reason", "sold", "--amount", "40", "--currency", "EUR", "--note", "to a shop"),
        ("box", "close", "1", "2"),
        ("box", "arrive", "1", "2", "--carton", "sound"),
    ],
    ids=lambda arguments: " ".join(arguments[:2]),
)
def test_a_dry_run_writes_nothing_and_the_step_is_taken_back_by_one_undo(
    lists: Intake, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    place, told = place_in(tmp_path / "library"), lists("status").out
    before = content(place)
    dry = lists(*arguments, "--dry-run")
    assert (dry.status, dry.err) == (0, "")
    assert content(place) == before
    made = lists(*arguments)
    assert (made.status, made.err) == (0, "")
    assert lists("history", "--limit", "1").out != ""
    assert lists("undo").status == 0
    states = [line for line in told.splitlines() if "copies" in line or "boxes" in line or "editions" in line]
    assert [line for line in lists("status").out.splitlines() if line in states] == states


def test_several_boxes_are_closed_all_or_none(lists: Intake) -> None:
    lists("box", "open", "3")
    assert lists("box", "close", "1", "3").status == 1, "the third is empty"
    assert lists("box", "close", "1", "1").status == 1
    assert lists("box", "close", "1", "2", "--seal", "Q7").status == 2
    assert lists("box", "arrive", "1", "2", "--gross", "20 kg").status == 2
    assert "2  boxes" not in lists("status").out.replace("boxes open", "")
    assert lists("box", "close", "1", "2").status == 0
    assert "2  boxes closed" in lists("status").out
    assert lists("box", "arrive", "1", "2").status == 0
    assert "2  boxes arrived" in lists("status").out


def test_what_is_asked_for_in_two_ways_or_in_none_is_refused(lists: Intake) -> None:
    assert lists("edition", "edit", "F1").status == 2
    assert lists("copy", "edit", "1").status == 2
    assert lists("copy", "move", "1").status == 2
    assert lists("copy", "move", "1", "--to-hand", "--to-box", "2").status == 2
    assert lists("copy", "move", "1", "--to-hand", "--behind", "2").status == 2
    assert lists("copy", "withdraw", "1").status == 2


def test_a_withdrawn_copy_is_found_with_what_became_of_it(lists: Intake) -> None:
    lists("copy", "withdraw", "F1", "--reason", "sold", "--on", "2026-03-01", "--amount", "1.040,50", "--currency=eur")
    found = lists("find", "F1").out
    assert "withdrawn" in found
    assert "sold 2026-03-01, EUR 1,040.50" in found
    assert "withdraw copies" in lists("history", "F1").out
    assert "state: packed → withdrawn" in lists("history", "1").out
    assert lists("copy", "edit", "F1", "--clear", "withdrawn").status == 0
    again = lists("copy", "edit", "1", "--set", "note=here again")
    assert "note: none → here again" in again.out
    assert "nothing to change" in lists("copy", "edit", "1", "--set", "note=here again").out


def test_new_copies_are_told_with_their_numbers(lists: Intake) -> None:
    assert "New: A6-14, A7-05." in lists("copy", "add", "G2", "--count", "2").out
