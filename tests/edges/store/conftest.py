from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from tests.edges.store.made import NOON
from tests.made_library import new_library


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with new_library(tmp_path / "library", now=lambda: NOON) as opened:
        yield opened
