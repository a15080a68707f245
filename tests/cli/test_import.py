"""`intake import`: what a dry run and a refusal leave behind, compared file by file."""

import shutil
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from intake.edges.store.engines.sqlite import engine_for
from intake.edges.store.engines.sqlite_open import migrate_folder
from intake.edges.store.library import open_library
from intake.edges.store.migrate import DATABASE, MIGRATIONS
from intake.edges.store.queries.copies import all_accessions
from intake.identifiers.own import make
from intake.model.identifiers import OwnKind
from tests.cli.conftest import Intake

pytestmark = pytest.mark.folder


def content(folder: Path) -> dict[str, bytes]:
    """Return all files below a folder; `-shm` is the shared memory of those who have the database open."""
    files = (path for path in folder.rglob("*") if path.is_file() and not path.name.endswith("-shm"))
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


BOX_LIST = "key,box\nF1,1\nF2,8\n"
BAD_LIST = "key,box\nF2,8\nNOPE,8\n"


def test_dry_runs_and_refusals_change_no_byte_and_use_up_no_number(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text(BOX_LIST, encoding="utf-8")
    (tmp_path / "bad.csv").write_text(BAD_LIST, encoding="utf-8")
    before = content(tmp_path / "library")
    for _ in range(2):
        said = stocked("import", "copies", "more.csv", "--dry-run")
        would = "more.csv: would make 1 box and 1 copy, altered nothing, 1 row unchanged"
        assert (said.status, said.out.splitlines()[-1]) == (0, would)
    assert stocked("import", "copies", "bad.csv").status == 1
    assert content(tmp_path / "library") == before
    assert stocked("import", "copies", "more.csv").status == 0
    with open_library(tmp_path / "library") as library, library.reading() as reader:
        assert max(all_accessions(reader)) == make(OwnKind.COPY, 6)


def test_no_library_is_made_by_a_dry_run_or_a_refusal(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "editions.csv").write_text("key,title\nF1,Ferns\nF2,\n", encoding="utf-8")
    said = intake("import", "editions", "editions.csv", "--dry-run")
    assert said.status == 1
    assert "There is no library in" in said.out
    assert intake("import", "editions", "editions.csv").status == 1
    assert not (tmp_path / "library").exists()
    assert intake("import", "editions", "editions.csv", "--skip-bad-rows").status == 0
    assert (tmp_path / "library").is_dir()


def test_a_dry_run_on_a_library_in_use_leaves_its_log_alone(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text(BOX_LIST, encoding="utf-8")
    file = tmp_path / "library" / "library.sqlite3"
    code = f"import os, sqlite3; c = sqlite3.connect({str(file)!r}); c.execute('PRAGMA user_version = 7'); os._exit(0)"
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
    before = content(tmp_path / "library")
    assert {"library.sqlite3", "library.sqlite3-wal"} <= before.keys()
    assert stocked("import", "copies", "more.csv", "--dry-run").status == 0
    assert content(tmp_path / "library") == before


def test_a_dry_run_on_an_older_library_leaves_it_as_old(intake: Intake, tmp_path: Path) -> None:
    (tmp_path / "editions.csv").write_text("key,title\nF1,Ferns\n", encoding="utf-8")
    steps = tmp_path / "migrations"
    shutil.copytree(MIGRATIONS, steps, ignore=shutil.ignore_patterns("r000[2-9]*", "__pycache__"))
    library = tmp_path / "library"
    library.mkdir()
    engine = engine_for(library / DATABASE)
    migrate_folder(engine, library, datetime(2026, 3, 31, tzinfo=UTC), migrations=steps)
    engine.dispose()
    before = content(library)
    said = intake("import", "editions", "editions.csv", "--dry-run")
    assert (said.status, said.out.splitlines()[-1]) == (
        0,
        "editions.csv: would make 1 edition, altered nothing, 0 rows unchanged",
    )
    assert content(library) == before


def test_a_dry_run_on_a_newer_library_names_it(stocked: Intake, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text(BOX_LIST, encoding="utf-8")
    connection = sqlite3.connect(tmp_path / "library" / "library.sqlite3")
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    said = stocked("import", "copies", "more.csv", "--dry-run")
    assert said.status == 1
    assert str(tmp_path / "library") in said.err
