"""Help while a person types: what is wrong with the number, which edition it is, which titles begin so."""

from dataclasses import dataclass

from intake.edges.store.queries.editions import editions_by_number, find_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import parse_known
from intake.flow.lookup.wording import edition_words, title_words, written_number
from intake.model.editions import Edition
from intake.model.identifiers import Identifier

SHOWN = 6


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
        editions = editions_by_number(reader, parsed.number, parsed.add_on)
        known = "" if editions else ", not in the catalog"
        message = f"{parsed.kind.value.upper()} {parsed.written}{known}"
        return TypedHelp(message, good=True, titles=_titles(editions), more=len(editions) > SHOWN)
    if any(c.isalpha() for c in text) or not any(c.isdigit() for c in text):
        editions = find_editions(reader, text, SHOWN + 1)
        return TypedHelp("", good=False, titles=_titles(editions), more=len(editions) > SHOWN)
    repairs = sorted(parsed.repairs, key=lambda repair: not repair.in_catalog)
    return TypedHelp(
        parsed.reason,
        good=False,
        repairs=tuple((repair.written, repair.how) for repair in repairs[:SHOWN]),
        more=len(repairs) > SHOWN,
    )


def _titles(editions: tuple[Edition, ...]) -> tuple[tuple[int, str, str, str], ...]:
    return tuple(
        (edition.id, title_words(edition), edition_words(edition), written_number(edition))
        for edition in editions[:SHOWN]
    )
