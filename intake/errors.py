"""The base class of all errors: the message shown to a person, and the exit status.

Raising one means that the command cannot go on. A picture that cannot be read or a row that cannot be used is not an
error: it is a value with a reason, and the run goes on.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from intake.units.advice import Advice, worded


class IntakeError(Exception):
    """The command failed; the message is one sentence: the thing, why it failed, how to fix it.

    Args:
        thing: the subject of the sentence, named as the person knows it (a file, a box, a copy).
        why: the predicate, continuing the sentence ("is not UTF-8 text (byte 0x92 on line 14)").
        remedy: what to do, in the imperative, without a full stop; where a command does it, in both forms.
        field: the name of the value that it is about, where one is: a form marks the field of this name.
    """

    exit_code = 1

    def __init__(self, thing: str, why: str, remedy: str | Advice, *, field: str = "") -> None:
        super().__init__(thing, why, remedy)
        self.thing = thing
        self.why = why
        self._remedy = remedy
        self.field = field

    @property
    def remedy(self) -> str:
        """Return what to do, for where it is read: a fault met at a terminal may be shown at the desk later."""
        return worded(self._remedy)

    def __str__(self) -> str:
        return f"{self.thing} {self.why}; {self.remedy}."


class UsageError(IntakeError):
    """The command was called with options or arguments that it cannot use."""

    exit_code = 2


class FileError(IntakeError):
    """A file or folder cannot be read or written, or its contents are not what they should be."""


class StoreError(IntakeError):
    """The library folder cannot be opened, read or written."""


class LibraryBusyError(StoreError):
    """Others write to the library for longer than a step waits; the same step can be done later."""


class ServerLostError(LibraryBusyError):
    """The server of the library cannot be reached, and nothing of the step was kept; it can be done later."""


class RefusedError(IntakeError):
    """The state of a copy, box or place does not allow the step; nothing was changed."""


class QueriesWaitError(RefusedError):
    """Queries of a box wait, and may be what would be recorded as missing; a person may finish it in spite of them."""


class ChangedMeanwhileError(RefusedError):
    """A record is not as the plan supposes, for another station was quicker; the step can be planned anew."""


@contextmanager
def about_field(name: str) -> Iterator[None]:
    """Note of an error of the block which value it is about; the outermost block knows best where it came from."""
    try:
        yield
    except IntakeError as error:
        error.field = name
        raise
