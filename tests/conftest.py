"""What holds for every test: no check is timed, how many examples are drawn, and what is not done anew for each."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings
from sqlalchemy import URL, Engine, create_engine

from tests.drawn_examples import FAST, WHOLE

settings.register_profile("whole", deadline=None, max_examples=WHOLE)
settings.register_profile("fast", deadline=None, max_examples=FAST)


def pytest_configure(config: pytest.Config) -> None:
    """Draw fewer examples in the run that leaves out what is slow; CI draws all of them."""
    settings.load_profile("fast" if config.getoption("markexpr") == "not slow" else "whole")


@pytest.fixture(scope="session", autouse=True)
def _statements_compiled_once() -> Iterator[None]:
    """Compile each statement of SQL once, and not anew for each library that a test opens: half of what it takes.

    SQLAlchemy keeps what it compiled for each engine and by the dialect; here all engines share one of both.
    """
    first = create_engine("sqlite://")
    first.connect().close()  # now the dialect knows the version of SQLite
    compiled: dict[Any, Any] = {}

    def make_engine(url: URL) -> Engine:
        engine = create_engine(url)
        engine.dialect = first.dialect
        engine.update_execution_options(compiled_cache=compiled)
        return engine

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("intake.edges.store.sqlite.create_engine", make_engine)
        yield
    first.dispose()
