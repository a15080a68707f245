"""A library to rehearse a step in: it reads as the real one, and what would be written is handed back instead.

A step that plans and applies runs as far as its plan, with every check that it makes of its own, and no further.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.edges.store.writer import LibraryWriter
from intake.model.changes import Action, Applied, Change
from intake.model.sightings import Picture

RehearsedStep = tuple[Action, tuple[Change, ...]]
"""One entry that the ledger would have, and its plan."""


class RehearsedError(Exception):
    """Ends a rehearsal where the step would write; no person sees it.

    Attributes:
        steps: what would be written.
    """

    def __init__(self, steps: tuple[RehearsedStep, ...]) -> None:
        super().__init__("a rehearsed step would write")
        self.steps = steps


class RehearsedLibrary(Library):
    """The library that another one is of, for one rehearsal; it is not closed."""

    def __init__(self, library: Library) -> None:
        super().__init__(library.store, library.now)

    def apply(
        self, action: Action, changes: Iterable[Change], check: Callable[[LibraryReader], None] | None = None
    ) -> Applied:
        """End the rehearsal with the plan, once its check holds."""
        if check is not None:
            with self.reading() as records:
                check(records)
        raise RehearsedError(((action, tuple(changes)),))

    def apply_all(self, steps: Iterable[tuple[Action, Iterable[Change]]]) -> tuple[Applied, ...]:
        """End the rehearsal with the plans."""
        raise RehearsedError(tuple((action, tuple(changes)) for action, changes in steps))

    @contextmanager
    def writing(self, station: str = "") -> Iterator[LibraryWriter]:  # noqa: ARG002 - as a library that writes
        """Open what looks like a transaction that writes, and only reads."""
        with self.reading() as records:
            yield _RehearsedWriter(records.connection, self.now)

    @contextmanager
    def keeping_picture(self, source: bytes | Path, picture: Picture) -> Iterator[None]:  # noqa: ARG002 - as a library
        """Keep nothing."""
        yield


class _RehearsedWriter(LibraryWriter):
    """A writer that hands its plan back."""

    def apply(self, action: Action, changes: Iterable[Change]) -> Applied:
        """End the rehearsal with the plan."""
        raise RehearsedError(((action, tuple(changes)),))
