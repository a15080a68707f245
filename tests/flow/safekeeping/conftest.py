"""A small library with a record of every kind, and a ledger that made, altered and took back."""

import hashlib
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from intake.model.boxes import BoxPicture
from intake.model.changes import Action, ActionKind, Change, Provisional, Record, made
from intake.model.condition import CopyPicture
from intake.model.editions import BookSet
from intake.model.sightings import Picture, Sighting
from tests.edges.store.made import BOX, COPY, LIBRARY, NOON, PICTURE
from tests.made_library import new_library

PICTURE_BYTES = b"not really a picture"


def make_library(folder: Path) -> None:
    sha256 = hashlib.sha256(PICTURE_BYTES).hexdigest()
    picture = replace(PICTURE, sha256=sha256)

    def with_picture(record: Record) -> Record:
        if isinstance(record, Picture):
            return picture
        has_it = isinstance(record, Sighting | BoxPicture | CopyPicture) and record.picture == PICTURE.sha256
        return replace(record, picture=sha256) if has_it else record  # type: ignore[arg-type] # one of those

    with new_library(folder, now=lambda: NOON) as library:
        library.keep_picture(PICTURE_BYTES, picture)
        steps = [
            (Action(ActionKind.UNKNOWN, "all", unknown_name="test", request="r1"), made(*map(with_picture, LIBRARY))),
            (Action(ActionKind.CHECK_IN_BOX, "B1", "phone"), [Change(BOX, replace(BOX, note="wet corner"))]),
            (Action(ActionKind.INSPECT_COPY, "A1"), [Change(COPY, replace(COPY, note="foxed"))]),
            (Action(ActionKind.UNDO, "3", undoes=3), [Change(replace(COPY, note="foxed"), COPY)]),
            (Action(ActionKind.IMPORT_EDITIONS, "set"), made(BookSet(id=Provisional().id(), title="Another"))),
        ]
        for action, changes in steps:
            library.apply(action, changes)


@pytest.fixture(scope="session")
def folder_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that `folder` copies."""
    made = tmp_path_factory.mktemp("kept") / "library"
    make_library(made)
    return made


@pytest.fixture
def folder(folder_made: Path, tmp_path: Path) -> Path:
    """Return the folder of a closed library."""
    return shutil.copytree(folder_made, tmp_path / "library")
