"""Large steps killed (SIGKILL) while they write: the next command takes back what stands, undo all of a whole one."""

import random
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from intake.edges.store.engines.incoming import INCOMING
from intake.edges.store.library import Library, open_library
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Provisional, Record, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.model.places import Place, PlaceKind
from tests.faults.libraries import command, faults_of

COPIES, SHELVES = 2300, 75
STEPS = {"arrange": ("arrange", "--apply"), "plan": ("plan", "--shelved", "--book")}

KILLED = """
import os, signal, sys
from threading import Timer
from intake.cli.main import run
from intake.edges.store import staging
lot, after_s, arguments = int(sys.argv[1]), float(sys.argv[2]), sys.argv[3:]
lots = staging.StagedPlan.__iter__
def watched(staged):
    for nth, changes in enumerate(lots(staged), 1):
        if nth == lot:  # from here on it is written
            Timer(after_s, os.kill, [os.getpid(), signal.SIGKILL]).start()
        yield changes
staging.StagedPlan.__iter__ = watched
run(arguments)
"""


@pytest.fixture(scope="module")
def shelved(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a library whose copies stand on shelves in no order."""
    folder, chance = tmp_path_factory.mktemp("large") / "library", random.Random(7)
    new = Provisional()
    room, case = new.number(OwnKind.PLACE), new.number(OwnKind.PLACE)
    records: list[Record] = [
        Place(number=room, kind=PlaceKind.ROOM, name="Hall", position=1),
        Place(number=case, kind=PlaceKind.BOOKCASE, name="A", parent=room, position=1),
    ]
    shelves = [new.number(OwnKind.PLACE) for _ in range(SHELVES)]
    for nth, shelf in enumerate(shelves, 1):
        records.append(Place(number=shelf, kind=PlaceKind.SHELF, name=str(nth), parent=case, position=nth,
                             width_mm=1000.0, height_mm=400.0, depth_mm=300.0))  # fmt: skip
    order = chance.sample(range(COPIES), COPIES)
    for nth in range(1, COPIES + 1):
        edition = new.id()
        records.append(Edition(id=edition, title=f"Invented {nth}", height_mm=240.0, width_mm=180.0, thickness_mm=20.0,
                               mass_g=700.0))  # fmt: skip
        row, position = divmod(order[nth - 1], 40)
        records.append(Copy(accession=new.number(OwnKind.COPY), edition_id=edition, state=CopyState.SHELVED,
                            place=shelves[row], position=position + 1))  # fmt: skip
    with open_library(folder, create=True) as library:
        library.apply(Action(ActionKind.UNKNOWN, "all", unknown_name="test"), made(*records))
    return folder


def standing(library: Library) -> tuple[object, ...]:
    """Return where every copy is, and every box."""
    with library.reading() as records:
        copies = ((copy.accession, copy.place, copy.position, copy.box, copy.state) for copy in records.all(Copy))
        return (*sorted(copies, key=lambda copy: copy[0]), *records.all(Box))


@pytest.mark.slow
@pytest.mark.parametrize(("step", "lot", "after_s"), [("arrange", 2, 0.01), ("arrange", 4, 0.0), ("plan", 2, 0.01)])
def test_a_large_step_killed_while_it_writes_is_taken_back_and_made_again(
    shelved: Path, tmp_path: Path, step: str, lot: int, after_s: float
) -> None:
    folder = shutil.copytree(shelved, tmp_path / "library")
    with open_library(folder) as library:
        before = standing(library)
    arguments = ["--library", str(folder), *STEPS[step]]
    killed = subprocess.run(
        [sys.executable, "-c", KILLED, str(lot), str(after_s), *arguments],
        check=False,
        timeout=300,
        capture_output=True,
    )
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    with open_library(folder) as library:
        assert standing(library) == before
    assert not (folder / INCOMING).exists()
    assert faults_of(folder) == []
    assert command(*arguments) == 0
    with open_library(folder) as library:
        assert standing(library) != before
    assert command("--library", folder, "undo") == 0
    with open_library(folder) as library:
        assert standing(library) == before
    assert faults_of(folder) == []
