"""One desk for all tests of a module, of which none changes anything that another looks at."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.desk.conftest import Running, Station, let_in, running_copy


@pytest.fixture(scope="module")
def desk(stocked: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running_copy(stocked, tmp_path_factory.mktemp("shared")) as opened:
        yield opened


@pytest.fixture(scope="module")
def station(desk: Running) -> Iterator[Station]:
    station = let_in(desk)
    yield station
    station.client.close()
