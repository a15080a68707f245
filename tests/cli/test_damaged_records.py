"""Records altered by another tool's hand: every command shows what is right, or names the damage in one sentence."""

import shutil
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from intake.cli.main import run
from intake.edges.store.library import open_library
from intake.edges.store.queries.shelves import place_nodes, place_paths, shelves_in_order
from intake.edges.store.rows import KINDS
from intake.edges.store.tables import REFERENCES
from intake.errors import StoreError
from tests.faults.tampering import DATABASE, Tampering, is_effective, tamperings
from tests.flow.safekeeping.conftest import make_library

pytestmark = pytest.mark.folder

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("status",),
    ("find", "A1"),
    ("box", "list"),
    ("place", "list"),
    ("pile", "list"),
    ("value", "total", "EUR"),
    ("print", "inventory", "-o", "OUT.csv"),
    ("export", "copies", "OUT.csv"),
    ("export", "everything", "OUT"),
)


SIMILAR = ("a number", "broken JSON", "a row lost")
"""Alterations that are left out here: what they do is done by the others too, or by those of references below."""


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a library with a record of every kind."""
    folder = tmp_path_factory.mktemp("damaged") / "whole"
    make_library(folder)
    return folder


def damaged(whole: Path, tmp_path: Path, tampering: Tampering) -> Path | None:
    """Return a copy that was tampered with; None where the database does not take it, or is as it was."""
    work = tmp_path / "library"
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(whole, work)
    return work if is_effective(work / DATABASE, tampering) else None


def answers(
    folder: Path, commands: Sequence[tuple[str, ...]], capsys: pytest.CaptureFixture[str]
) -> list[tuple[int, str]]:
    """Return the status and the words on standard error of each command."""
    found = []
    for command in commands:
        for out in folder.parent.glob("OUT*"):
            shutil.rmtree(out) if out.is_dir() else out.unlink()
        words = [str(folder.parent / word) if word.startswith("OUT") else word for word in command]
        capsys.readouterr()
        status = run(["--library", str(folder), *words])
        found.append((status, " ".join(capsys.readouterr().err.split())))
    return found


def judge(
    whole: Path,
    tmp_path: Path,
    tampering: Tampering,
    capsys: pytest.CaptureFixture[str],
    commands: Sequence[tuple[str, ...]] = COMMANDS,
) -> list[str]:
    """Return the commands that end neither well nor with a sentence that says what to do."""
    folder = damaged(whole, tmp_path, tampering)
    if folder is None:
        return []
    return [
        f"{tampering.name}: {' '.join(command)}: {words}"
        for command, (status, words) in zip(commands, answers(folder, commands, capsys), strict=True)
        if "nexpected error" in words or (words and status and "run 'intake check'" not in words)
    ]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE copy SET grade = 'fine'",
        "UPDATE copy SET state = 'flying'",
        "UPDATE edition SET title = X'00FF'",
        "UPDATE edition SET thickness_mm = 'thick'",
        "UPDATE box SET number = 'garbage'",
        "UPDATE edition SET thickness_mm = -3",
        "UPDATE edition SET mass_g = 9e999",
        "UPDATE withdrawal SET copy = X'00FF80'",
    ],
)
def test_no_cell_that_another_hand_wrote_ends_a_command_in_an_unexpected_error(
    whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], statement: str
) -> None:
    tampering = Tampering(statement, ("PRAGMA foreign_keys = OFF", statement))
    assert judge(whole, tmp_path, tampering, capsys) == []
    assert any(status for status, _ in answers(tmp_path / "library", COMMANDS, capsys))


@pytest.mark.slow
def test_no_table_and_no_column_does(whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    of_records = [
        tampering
        for tampering in tamperings(whole / DATABASE)
        if not tampering.name.startswith(("ledger", "alembic", "counter", "edition_words"))
        and not tampering.name.endswith(SIMILAR)
    ]
    assert len({tampering.name.partition(".")[0] for tampering in of_records if "." in tampering.name}) == len(KINDS)
    wrong = []
    for nth, tampering in enumerate(of_records):  # what reads every table, and one of the others in turn
        commands = (COMMANDS[-1], COMMANDS[nth % (len(COMMANDS) - 1)])
        wrong += judge(whole, tmp_path, tampering, capsys, commands)
    assert wrong == []


@pytest.mark.parametrize("reference", REFERENCES)
def test_a_record_that_refers_to_one_that_is_not_there_is_named_before_anything_is_shown(
    whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], reference: str
) -> None:
    table, column = reference.split(".")
    with closing(sqlite3.connect(whole / DATABASE)) as connection:
        (key,) = (row[1] for row in connection.execute(f'PRAGMA table_info("{table}")') if row[5])
        found = f'SELECT "{key}" FROM "{table}" ORDER BY 1 LIMIT 1'  # noqa: S608 - names of our own schema
        (own,) = connection.execute(found).fetchone()
    own = 9999 if column == key else own
    statement = f'UPDATE "{table}" SET "{column}" = 9999 WHERE "{key}" = ({found})'  # noqa: S608 - as above
    folder = damaged(whole, tmp_path, Tampering(reference, (statement,)))
    assert folder is not None
    commands = (COMMANDS[0], COMMANDS[6])
    for status, words in answers(folder, commands, capsys):
        assert status == 1
        assert f" {own} is damaged: its {column.removesuffix('_id').replace('_', ' ')} is '9999'" in words
        assert "run 'intake check'" in words
    assert not (tmp_path / "OUT.csv").exists()
    ((status, words),) = answers(folder, (("check",),), capsys)
    assert (status, "intake restore" in words) == (1, True)


@pytest.mark.parametrize("longer", [False, True])
def test_places_that_are_inside_each_other_are_named_and_no_walk_goes_round_without_end(
    whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], *, longer: bool
) -> None:
    with closing(sqlite3.connect(whole / DATABASE)) as connection:
        upper, lower = connection.execute("SELECT parent, number FROM place WHERE parent IS NOT NULL").fetchone()
    above = lower if longer else upper
    statement = f"UPDATE place SET parent = '{above}' WHERE number = '{upper}'"  # noqa: S608 - numbers of our own
    folder = damaged(whole, tmp_path, Tampering("circle", (statement,)))
    assert folder is not None
    for status, words in answers(folder, COMMANDS, capsys):
        assert status == 1
        assert " is damaged: it is inside itself" in words
    ((status, words),) = answers(folder, (("check",),), capsys)
    assert (status, "intake restore" in words) == (1, True)


def test_a_circle_of_the_last_minute_ends_a_walk_too(whole: Path, tmp_path: Path) -> None:
    with open_library(shutil.copytree(whole, tmp_path / "library")) as library:
        with library.reading() as records:  # looked through now, and not again for a while
            assert place_paths(records)
        with closing(sqlite3.connect(library.folder / DATABASE)) as connection:
            connection.execute("UPDATE place SET parent = number")
            connection.commit()
        for walk in (place_paths, place_nodes, shelves_in_order):
            with pytest.raises(StoreError, match="inside itself"), library.reading() as records:
                walk(records)
