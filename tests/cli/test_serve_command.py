"""What the command says of the desk that it opens; the desk itself is not served here."""

import sys
from pathlib import Path
from socket import socket

import pytest

from intake.desk import desk_startup, run
from intake.edges.store.engines import sqlite_open
from intake.edges.store.library import open_library
from tests.cli.conftest import Intake
from tests.made_library import alter, place_in


@pytest.fixture(autouse=True)
def _not_served(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(_desk: object, listening: socket, _certificates: object, **_: object) -> None:
        listening.close()

    monkeypatch.setattr(run, "serve", stop)
    monkeypatch.setattr(desk_startup, "house_address", lambda: "127.0.0.1")


@pytest.mark.parametrize(
    ("options", "in_clear"), [(["--lan"], True), (["--lan", "--tls"], False), (["--tls"], False), ([], False)]
)
def test_what_travels_in_clear_is_said(intake: Intake, options: list[str], in_clear: bool) -> None:
    said = intake("serve", "--port", 0, "--no-open", "--new", "--keys", "keys", *options)
    assert said.status == 0
    assert ("Without --tls everything travels in clear" in said.out) == in_clear
    assert ("SHA-256" in said.out) == ("--tls" in options)


SERVE = ("serve", "--port", 0, "--no-open", "--keys", "keys")


def test_a_mistyped_folder_is_refused_and_not_made_into_a_library(intake: Intake, tmp_path: Path) -> None:
    said = intake(*SERVE)
    assert said.status == 1
    assert "serve --new" in said.err
    assert "is open" not in said.out
    assert not (tmp_path / "library").exists()


@pytest.mark.parametrize("agrees", [True, False])
def test_a_person_at_the_terminal_is_asked_whether_to_make_a_library(
    intake: Intake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, agrees: bool
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)

    def confirm(question: str, **_: object) -> bool:
        asked.append(question)
        return agrees

    monkeypatch.setattr("click.confirm", confirm)
    assert intake(*SERVE).status == (0 if agrees else 1)
    assert (intake("status").status == 0) == agrees
    assert len(asked) == 1
    if agrees:
        assert intake(*SERVE).status == 0
        assert len(asked) == 1, "a library is served without a question"


def test_a_library_that_cannot_be_read_is_told_before_a_link_is_printed(intake: Intake, tmp_path: Path) -> None:
    assert intake(*SERVE, "--new").status == 0
    with open_library(place_in(tmp_path / "library")) as library:
        alter(library, "DROP TABLE ledger_change", "DROP TABLE ledger")
    said = intake(*SERVE)
    assert said.status == 1
    assert "is damaged" in said.err or "cannot be used" in said.err
    assert "http://" not in said.out


@pytest.mark.folder
def test_a_desk_at_which_nothing_can_be_written_says_so(intake: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "may only be read" not in intake(*SERVE, "--new").out
    monkeypatch.setattr(sqlite_open, "is_read_only", lambda _folder: True)
    said = intake(*SERVE)
    assert (said.status, "The library may only be read" in said.out) == (0, True)
