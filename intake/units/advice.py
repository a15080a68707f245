"""Advice that names what a person can do where they are: a command at a terminal, a field or a link on a page.

A sentence is made where its facts are known, and the same sentence is shown at the terminal and at the desk. Only the
few words that name a command or an option differ; both forms of them stand in the sentence's module, side by side.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum, auto


class ReadAt(Enum):
    """Where sentences are read."""

    TERMINAL = auto()
    DESK = auto()


_READ_AT: ContextVar[ReadAt] = ContextVar("read_at", default=ReadAt.TERMINAL)

Advice = tuple[str, str]
"""Words for the terminal, and words for the desk."""


def advice(at_terminal: str, at_desk: str) -> str:
    """Return the words for where the sentence is read.

    >>> advice("see 'intake check'", "check the library")
    "see 'intake check'"
    """
    return at_desk if _READ_AT.get() is ReadAt.DESK else at_terminal


def worded(sentence: str | Advice) -> str:
    """Return a sentence that may have two forms."""
    return sentence if isinstance(sentence, str) else advice(*sentence)


@contextmanager
def read_at(where: ReadAt) -> Iterator[None]:
    """Make the sentences of the block for one place; of this thread or task, and of what it starts."""
    token = _READ_AT.set(where)
    try:
        yield
    finally:
        _READ_AT.reset(token)
