"""Counts what a piece of work asks of the database; a count does not depend on the machine."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from sqlalchemy import Connection, Engine, event

from intake.edges.store.library import Library

BOUNDS = ("BEGIN", "SELECT pg_try_advisory_xact_lock")
"""How a transaction begins."""


@dataclass
class StatementCount:
    """What was asked of the database so far.

    Attributes:
        asked: each statement's SQL, in order, without those that begin or end a transaction; one that is executed with
            many rows of values counts once.
        transactions: how many were begun.
        writing: how many of these took the writing lock.
    """

    asked: list[str] = field(default_factory=list)
    transactions: int = 0
    writing: int = 0

    @property
    def statements(self) -> int:
        """Return how many statements there were."""
        return len(self.asked)


def engine_of(library: Library) -> Engine:
    """Return the engine below a library, whichever database it has."""
    engine = getattr(library.store, "_engine", None)
    assert isinstance(engine, Engine)
    return engine


@contextmanager
def count_statements(library: Library) -> Iterator[StatementCount]:
    """Count the statements and transactions of everything that is done with a library inside the `with` block."""
    with library.reading():
        pass  # what is looked for once, or once a minute, is not a part of any piece of work
    count = StatementCount()
    engine = engine_of(library)

    def asked(_connection: Connection, _cursor: object, statement: str, *_rest: object) -> None:
        if not statement.startswith(BOUNDS):
            count.asked.append(statement)

    def begun(connection: Connection) -> None:
        count.transactions += 1
        count.writing += bool(connection.get_execution_options().get("writes", False))

    event.listen(engine, "before_cursor_execute", asked)
    event.listen(engine, "begin", begun)
    try:
        yield count
    finally:
        event.remove(engine, "before_cursor_execute", asked)
        event.remove(engine, "begin", begun)
