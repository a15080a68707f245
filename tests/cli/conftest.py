"""The command as a person runs it, in this process."""

import logging
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from intake.cli.main import run
from intake.edges.log_files import ROOT
from tests.flow.conftest import CATALOG, COPIES, SHELVES
from tests.made_library import copy_beside, name_in


class Said(NamedTuple):
    """What a command left behind: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


Intake = Callable[..., Said]


@pytest.fixture
def intake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Intake:
    """Run `intake` with these arguments on a library in a folder of its own, or a database."""
    monkeypatch.setenv("INTAKE_LIBRARY", name_in(tmp_path / "library"))
    monkeypatch.chdir(tmp_path)
    log = logging.getLogger(ROOT)
    monkeypatch.setattr(log, "handlers", [*log.handlers])  # that of --verbose writes to a stream that the test ends

    def call(*arguments: object) -> Said:
        capsys.readouterr()
        status = run([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Said(status, out, err)

    return call


@pytest.fixture(scope="session")
def stocked_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `stocked` copies: the lists, and the library that the command made of them."""
    folder = tmp_path_factory.mktemp("stocked")
    library = ["--library", name_in(folder / "library")]
    for kind, text in (("editions", CATALOG), ("places", SHELVES), ("copies", COPIES)):
        file = folder / f"{kind}.csv"
        file.write_text(text, encoding="utf-8")
        assert run([*library, "import", kind, str(file)]) == 0
    assert run([*library, "box", "close", "1"]) == 0
    assert run([*library, "box", "arrive", "1"]) == 0
    return folder


@pytest.fixture
def stocked(stocked_made: Path, intake: Intake, tmp_path: Path) -> Intake:
    """The same with the small invented library, box 1 closed and arrived."""
    copy_beside(stocked_made, tmp_path)
    return intake
