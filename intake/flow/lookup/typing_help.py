"""Help while a person types: what is wrong with the number, which edition it is, which titles begin so."""

from dataclasses import dataclass

from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.found_editions import look_up_parsed
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import parse_known
from intake.flow.lookup.wording import edition_words, title_words, written_number
from intake.model.editions import Edition
from intake.model.identifiers import Identifier

SHOWN = 6
LIKE_A_NUMBER = 7
"""Digits from which a text with a letter in it is taken for a number with a slip."""


@dataclass(frozen=True, slots=True)
class TypedHelp:
    """What can be said of a text before it is sent.

    Attributes:
        message: one sentence on the number; empty where the text has no digit.
        good: whether it is a whole, valid number.
        repairs: numbers that would be valid, each with what was mistyped.
        titles: editions the text may mean.
        more: whether there are more repairs or titles than the first `SHOWN` that are given.
    """

    message: str
    good: bool
    repairs: tuple[tuple[str, str], ...] = ()
    titles: tuple[tuple[int, str, str, str], ...] = ()
    more: bool = False


def typed_help(reader: LibraryReader, text: str) -> TypedHelp:
    """Help with what has been typed so far."""
    if not text.strip():
        return TypedHelp("", good=False)
    parsed = parse_known(reader, text)
    if isinstance(parsed, Identifier):
        found = look_up_parsed(reader, text, parsed, SHOWN)
        said = f"; {reasons_words(found.why)}" if found.why else ""
        message = f"{parsed.kind.value.upper()} {parsed.written}{said}"
        return TypedHelp(message, good=True, titles=_titles(found.editions), more=found.more)
    if not _is_mostly_digits(text):
        found = look_up_parsed(reader, text, parsed, SHOWN)
        return TypedHelp(reasons_words(found.why), good=False, titles=_titles(found.editions), more=found.more)
    repairs = sorted(parsed.repairs, key=lambda repair: not repair.in_catalog)
    return TypedHelp(
        parsed.reason,
        good=False,
        repairs=tuple((repair.written, repair.how) for repair in repairs[:SHOWN]),
        more=len(repairs) > SHOWN,
    )


def _is_mostly_digits(text: str) -> bool:
    """Return whether a text is a number with or without a slip; letters with a figure may be a title."""
    digits, letters = (sum(map(test, text)) for test in (str.isdecimal, str.isalpha))
    return digits > 0 and (letters == 0 or (digits >= LIKE_A_NUMBER and digits > letters))


def _titles(editions: tuple[Edition, ...]) -> tuple[tuple[int, str, str, str], ...]:
    return tuple(
        (edition.id, title_words(edition), edition_words(edition), written_number(edition))
        for edition in editions[:SHOWN]
    )
