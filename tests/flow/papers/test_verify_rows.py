"""The rows of a printed list against the ledger of its day: each cell that is proved, altered in the file alone."""

import csv
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from intake.edges.store.library import Library
from intake.flow.papers import registry, verify_list
from intake.flow.papers.paper import Paper
from intake.flow.papers.verify_rows import RowProblem, read_rows
from intake.flow.values import value_copies
from intake.flow.values.figures import Figure
from intake.model.valuations import Basis
from tests.flow.papers.test_verify_list import TODAY, WANTED, priced, write
from tests.made_library import alter

__all__ = ["priced"]

Rows = list[dict[str, str]]


def check(library: Library, path: Path) -> verify_list.ProofCheck:
    return verify_list.verify(library, verify_list.find_proof(path), read_rows(path))


def rewrite(path: Path, change: Callable[[Rows], object]) -> None:
    """Alter a list as another program would: with Python's csv alone."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        rows, header = list(reader), reader.fieldnames or []
    change(rows)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, header)
        writer.writeheader()
        writer.writerows(rows)


def valued(rows: Rows) -> dict[str, str]:
    return next(row for row in rows[1:] if row["Amount"])


def remove(rows: Rows) -> None:
    rows.remove(valued(rows))


ALTERATIONS: dict[str, tuple[Callable[[Rows], object], RowProblem]] = {
    "an amount": (lambda rows: valued(rows).update(Amount="99999.00"), RowProblem.OTHER_AMOUNT),
    "no amount at all": (lambda rows: valued(rows).update(Amount="many"), RowProblem.OTHER_AMOUNT),
    "a title": (lambda rows: valued(rows).update(Title="A dearer book"), RowProblem.OTHER_TITLE),
    "a row lost": (remove, RowProblem.NO_ROW),
    "a row twice": (lambda rows: rows.append(dict(valued(rows))), RowProblem.TWICE),
    "another copy": (lambda rows: rows.append({**valued(rows), "Copy": "A99-99"}), RowProblem.NOT_LISTED),
}


@pytest.mark.parametrize(("change", "problem"), ALTERATIONS.values(), ids=ALTERATIONS)
def test_a_row_altered_in_the_file_is_named(
    priced: Library, tmp_path: Path, change: Callable[[Rows], object], problem: RowProblem
) -> None:
    path = tmp_path / "inventory.csv"
    write(priced, registry.INVENTORY, path)
    rewrite(path, lambda _: None)
    whole = check(priced, path)
    assert whole.sound
    rewrite(path, change)
    altered = check(priced, path)
    assert altered.rows is not None
    assert problem in {one.problem for one in altered.rows.differences}
    assert not altered.sound
    assert any("were altered" in line for line in verify_list.result_lines(altered))


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    "paper", [registry.INVENTORY, registry.INSURANCE, registry.MOVE, registry.CUSTOMS], ids=lambda paper: paper.name
)
def test_an_unaltered_list_agrees_also_after_the_library_changed(
    priced: Library, tmp_path: Path, paper: Paper[Any], language: str
) -> None:
    path = tmp_path / "list.csv"
    write(priced, paper, path, replace(WANTED, language=language))
    figure = Figure(amount=Decimal(700), currency="EUR", on=TODAY, basis=Basis.AGREED)
    value_copies.value_copy(priced, "5", figure, station="test", today=TODAY)
    found = check(priced, path)
    assert found.rows is not None
    assert found.rows.differences == ()
    assert found.rows.rows > 0
    assert found.sound


def test_rows_that_were_not_compared_are_told(priced: Library, tmp_path: Path) -> None:
    path = tmp_path / "list.pdf"
    write(priced, registry.INVENTORY, path)
    assert read_rows(path) is None
    assert any("rows were not compared" in line for line in verify_list.result_lines(check(priced, path)))


FORGED = "UPDATE edition SET title = 'Forged'", "UPDATE valuation SET amount = '1.00'", "DELETE FROM valuation"


@pytest.mark.parametrize("statement", FORGED)
def test_an_altered_table_is_said_of_the_library_and_a_true_list_stays_true(
    priced: Library, tmp_path: Path, statement: str
) -> None:
    path = tmp_path / "inventory.csv"
    write(priced, registry.INVENTORY, path)
    alter(priced, statement)
    found = check(priced, path)
    assert (found.is_judged, found.is_true, found.sound) == (True, True, False)
    assert found.damage
    lines = verify_list.result_lines(found)
    assert not any("were altered" in line for line in lines)
    assert any("not as its ledger left it" in line for line in lines)
    rewrite(path, lambda rows: valued(rows).update(Title="Forged"))
    assert not check(priced, path).is_true


def test_a_list_is_judged_by_the_entries_up_to_its_own_and_by_no_others(priced: Library, tmp_path: Path) -> None:
    path = tmp_path / "inventory.csv"
    write(priced, registry.INVENTORY, path)
    figure = Figure(amount=Decimal(700), currency="EUR", on=TODAY, basis=Basis.AGREED)
    value_copies.value_copy(priced, "5", figure, station="test", today=TODAY)
    alter(priced, "UPDATE ledger_change SET after = '{' WHERE seq = (SELECT max(seq) FROM ledger)")
    later = check(priced, path)
    assert (later.is_judged, later.is_true, later.sound) == (True, True, False)
    alter(priced, "UPDATE ledger_change SET after = replace(after, 'Gulls', 'Terns')")
    earlier = check(priced, path)
    assert (earlier.is_judged, earlier.sound) == (False, False)
    assert earlier.rows is None


def test_a_ledger_that_was_cut_judges_no_list_that_is_younger(priced: Library, tmp_path: Path) -> None:
    path = tmp_path / "inventory.csv"
    write(priced, registry.INVENTORY, path)
    seq = verify_list.find_proof(path).seq
    alter(priced, f"DELETE FROM ledger_change WHERE seq >= {seq}", f"DELETE FROM ledger WHERE seq >= {seq}")  # noqa: S608 - a number
    found = check(priced, path)
    assert (found.known, found.is_judged, found.is_true) == (False, False, False)
