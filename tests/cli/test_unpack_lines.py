"""`intake unpack` reading lines: what is scanned is booked or said to be not booked, and never left to the shell."""

import io
import os
import pty
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import cv2
import numpy as np
import pytest

from intake.edges.store.library import open_library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.queries.copies import all_copies
from intake.edges.store.queries.ledger_entries import count_records
from intake.errors import StoreError
from intake.flow.unpacking.book_scan import book_scan
from intake.model.editions import CopyState
from tests.cli.conftest import Intake
from tests.made_library import name_in, place_in


def unpacked(folder: Path) -> int:
    with open_library(place_in(folder)) as library, library.reading() as records:
        return count_records(records).copies.get(CopyState.UNPACKED, 0)


@pytest.fixture
def accessions(stocked: Intake, tmp_path: Path) -> list[str]:
    """What is packed in box 1."""
    assert stocked("status").status == 0
    with open_library(place_in(tmp_path / "library")) as library, library.reading() as records:
        pairs = list(all_copies(records))
    return [
        copy.accession for copy, _ in pairs if (copy.box or "").startswith("B1-") and copy.state is CopyState.PACKED
    ]


@pytest.mark.folder
def test_lines_wait_while_another_writes(
    stocked: Intake, accessions: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert accessions
    monkeypatch.setattr("intake.edges.store.engines.sqlite.BUSY_TIMEOUT_MS", 50)
    monkeypatch.setattr("intake.flow.unpacking.busy_library.PAUSE_S", 0.05)
    other = sqlite3.connect(tmp_path / "library" / DATABASE, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    timer = threading.Timer(1.0, other.rollback)
    timer.start()
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{number}\n" for number in accessions)))
    said = stocked("unpack", "1", "--no-ask")
    timer.join()
    other.close()
    assert said.status == 0
    assert "It is tried again until it is booked" in said.out
    assert unpacked(tmp_path / "library") == len(accessions)


@pytest.mark.parametrize("error", [StoreError("The library", "is full", "make room"), ValueError("unexpected")])
def test_a_line_that_fails_is_told_and_the_next_are_booked(
    stocked: Intake, accessions: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    book = book_scan

    def fails_once(library, box, scan, **how):  # type: ignore[no-untyped-def] # passed on as it is
        if scan.text == "9790000000001":
            raise error
        return book(library, box, scan, **how)

    monkeypatch.setattr("intake.cli.unpacking.book_scan", fails_once)
    lines = ["9790000000001", *accessions]
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    said = stocked("unpack", "1", "--no-ask")
    assert said.status == 1
    assert said.out.startswith("9790000000001: not booked")
    assert "9790000000001" in said.out + said.err
    assert unpacked(tmp_path / "library") == len(accessions)


def test_what_is_typed_ahead_of_a_refused_command_does_not_reach_the_shell(stocked: Intake, tmp_path: Path) -> None:
    """Box 2 was not checked in; a scanner has typed two lines already, the second without its end."""
    assert stocked("status").status == 0
    controller, terminal = pty.openpty()
    try:
        os.write(controller, b"first typed line\nsecond typed\n half a line")
        command = f"'{sys.executable}' -m intake unpack 2; timeout 1 cat; echo the end"
        shell = subprocess.Popen(
            ["sh", "-c", command],
            stdin=terminal,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "INTAKE_LIBRARY": name_in(tmp_path / "library")},
            cwd=Path(__file__).parents[2],
        )
        out, err = shell.communicate(timeout=60)
    finally:
        os.close(controller)
        os.close(terminal)
    assert out.splitlines() == ["Typed after the end, and not booked: first typed line, second typed", "the end"]
    assert "checked in" in err


def test_pictures_of_which_none_can_be_read_are_a_failure_and_what_is_left_out_is_told(
    stocked: Intake, tmp_path: Path
) -> None:
    folder = tmp_path / "photographs"
    folder.mkdir()
    assert stocked("unpack", "1", folder).status == 2, "there is no picture"
    for name in ("a.jpg", "b.gif"):
        (folder / name).write_text("not a picture")
    said = stocked("unpack", "1", folder)
    assert said.status == 1
    assert "a.jpg is not a picture" in said.out
    assert "1 .gif" in said.out
    assert "1 .gif" in stocked("read", folder).err
    cv2.imwrite(str(folder / "c.png"), np.full((60, 80), 200, np.uint8))
    assert stocked("unpack", "1", folder).status == 0, "one could be read, and waits as a query"
