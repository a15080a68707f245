"""The language in which sentences are made: English, as it stands in the code, unless a paper asks for another.

A message is a whole sentence or a term as it stands in the code; what varies in it has a name in braces. Its
translation comes from a catalogue of gettext (`intake.edges.catalogues`). Without a language nothing is looked up, so
that English needs no catalogue. What is recorded, compared or read back by a program is never a message.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Protocol


class Catalogue(Protocol):
    """The translations of one language, as `gettext.NullTranslations` has them."""

    def gettext(self, message: str) -> str:
        """Return the translation of a message."""

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Return the translation of a message that goes with so many."""

    def pgettext(self, context: str, message: str) -> str:
        """Return the translation of a message that is another where it means something else."""


@dataclass(frozen=True, slots=True)
class Language:
    """A language that sentences are made in.

    Attributes:
        tag: its tag (BCP 47), by which figures and days are written, too.
        catalogue: its translations.
    """

    tag: str
    catalogue: Catalogue


_SPOKEN: ContextVar[Language | None] = ContextVar("spoken", default=None)


def spoken() -> Language | None:
    """Return the language of what is being made; None for English."""
    return _SPOKEN.get()


@contextmanager
def speaking(language: Language | None) -> Iterator[None]:
    """Make the sentences of the block in one language; of this thread or task, and of what it starts."""
    token = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(token)


def say(message: str, /, **values: object) -> str:
    """Return a message in the language of what is being made, with values in place of the names in braces.

    The message is a literal, a term that `term` marks, or the head of a column: those are what catalogues are made of.

    >>> say("{volumes} overlap", volumes="vols. 1 and 2")
    'vols. 1 and 2 overlap'
    """
    language = _SPOKEN.get()
    text = message if language is None or not message else language.catalogue.gettext(message)
    return text.format(**values) if values else text


def say_of(count: int, one: str, several: str, /, **values: object) -> str:
    """Return the message that goes with so many, as `say` does; `{count}` in it is the number.

    >>> say_of(2, "{count} rate is missing", "{count} rates are missing")
    '2 rates are missing'
    """
    language = _SPOKEN.get()
    english = one if count == 1 else several
    text = english if language is None else language.catalogue.ngettext(one, several, count)
    return text.format(count=count, **values)


def say_as(context: str, message: str, /) -> str:
    """Return a term as `say` does, of those that have several translations the one of a context.

    >>> say_as("receiver of a letter", "To")
    'To'
    """
    language = _SPOKEN.get()
    return message if language is None else language.catalogue.pgettext(context, message)


def term(message: str) -> str:
    """Mark a term that stands in a table or an enumeration as a message; where it is shown, `say` translates it."""
    return message


def terms(one: str, several: str) -> tuple[str, str]:
    """Mark a term with its plural as a message, as `term` does; where it is shown, `say_of` translates it."""
    return one, several
