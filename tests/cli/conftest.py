"""The command as a person runs it, in this process."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from intake.cli.main import run
from tests.flow.conftest import CATALOG, COPIES, SHELVES


class Said(NamedTuple):
    """What a command left behind: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


Intake = Callable[..., Said]


@pytest.fixture
def intake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Intake:
    """Run `intake` with these arguments on a library in a folder of its own."""
    monkeypatch.setenv("INTAKE_LIBRARY", str(tmp_path / "library"))
    monkeypatch.chdir(tmp_path)

    def call(*arguments: object) -> Said:
        capsys.readouterr()
        status = run([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Said(status, out, err)

    return call


@pytest.fixture
def stocked(intake: Intake, tmp_path: Path) -> Intake:
    """The same with the small invented library, box 1 closed and arrived."""
    for kind, text in (("editions", CATALOG), ("places", SHELVES), ("copies", COPIES)):
        (tmp_path / f"{kind}.csv").write_text(text, encoding="utf-8")
        assert intake("import", kind, f"{kind}.csv").status == 0
    assert intake("box", "close", "1").status == 0
    assert intake("box", "arrive", "1").status == 0
    return intake
