from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library, open_library
from tests.edges.store.made import NOON


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with open_library(tmp_path / "library", create=True, now=lambda: NOON) as opened:
        yield opened
