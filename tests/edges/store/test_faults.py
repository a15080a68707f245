"""Faults of the database in words, by SQLite's result codes (https://www.sqlite.org/rescode.html)."""

import sqlite3
from pathlib import Path

import pytest

from intake.edges.store.engines.faults import store_error

FOLDER = Path("library")


def fault(code: int) -> sqlite3.Error:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize("code", [sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_SHMSIZE])
def test_a_full_disk_asks_for_room_and_not_for_a_repair(code: int) -> None:
    error = store_error(FOLDER, fault(code))
    assert error.remedy.startswith("make room")
    assert "restore" not in error.remedy


def test_another_extended_code_is_its_primary_one() -> None:
    assert str(store_error(FOLDER, fault(sqlite3.SQLITE_IOERR_FSYNC))) == str(
        store_error(FOLDER, fault(sqlite3.SQLITE_IOERR))
    )


def test_a_fault_without_a_code_is_told_in_its_own_words() -> None:
    assert "disk I/O error" in store_error(FOLDER, sqlite3.OperationalError("disk I/O error")).why
