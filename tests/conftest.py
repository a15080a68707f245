"""What holds for every test: no check is timed, how many examples are drawn, what is not done anew, which database."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings
from sqlalchemy import URL, Engine, create_engine

from tests import made_library, servers
from tests.drawn_examples import FAST, WHOLE

settings.register_profile("whole", deadline=None, max_examples=WHOLE)
settings.register_profile("fast", deadline=None, max_examples=FAST)

POSTGRESQL = "postgresql"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--alone", action="store_true", help="Also run the tests that need a quiet machine, with -n 0.")
    parser.addoption(
        "--database",
        choices=["sqlite", POSTGRESQL],
        default="sqlite",
        help="Which database the libraries of the tests have; postgresql needs a server (pg_virtualenv).",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Draw fewer examples in the run that leaves out what is slow; CI draws all of them."""
    settings.load_profile("fast" if config.getoption("markexpr") == "not slow" else "whole")
    made_library.on_server = config.getoption("--database") == POSTGRESQL


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

    of_server: list[Engine] = []

    def make_server_engine(url: str, **given: Any) -> Engine:
        engine = create_engine(url, **given)
        if not of_server:
            of_server.append(engine)
            engine.connect().close()
        engine.dialect = of_server[0].dialect
        engine.update_execution_options(compiled_cache=compiled)
        return engine

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("intake.edges.store.engines.sqlite.create_engine", make_engine)
        if made_library.on_server:
            patch.setattr("intake.edges.store.engines.server_connection.create_engine", make_server_engine)
        yield
    first.dispose()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption("--alone"):
        for item in items:
            if item.get_closest_marker("alone"):
                item.add_marker(pytest.mark.skip(reason="needs a quiet machine: run it with --alone -n 0"))
    if config.getoption("--database") != POSTGRESQL:
        return
    for item in items:
        if not servers.IS_THERE:
            item.add_marker(pytest.mark.skip(reason=servers.WHY_NOT))
        elif item.get_closest_marker("folder"):
            item.add_marker(pytest.mark.skip(reason="is about a library in a folder, or about SQLite"))


@pytest.fixture(scope="session", autouse=True)
def _folders_of_servers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is kept beside a library on a server lies in a folder of the tests."""
    if not servers.IS_THERE:
        yield
        return
    with pytest.MonkeyPatch.context() as patch:
        for name in ("DATA", "CACHE"):
            patch.setenv(f"XDG_{name}_HOME", str(tmp_path_factory.mktemp(name.lower())))
        yield
        for name in (*servers.DATABASES.by_folder.values(), *servers.DATABASES.kept):
            servers.DATABASES.drop(name)


@pytest.fixture(autouse=True)
def _databases_of_a_test() -> Iterator[None]:
    """Drop the databases that a test made; those of a session or a module are made before it."""
    if not servers.IS_THERE:
        yield
        return
    before = set(servers.DATABASES.by_folder)
    yield
    for folder in set(servers.DATABASES.by_folder) - before:
        servers.DATABASES.drop(servers.DATABASES.by_folder.pop(folder))
