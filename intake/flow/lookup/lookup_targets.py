"""What is looked up at libraries' servers: a number or a title, with what is known of it; and what waits to be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from intake.edges.store.queries.editions import carries, edition_by_key, editions_by_number, known_numbers
from intake.edges.store.queries.sightings import list_queries
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.identify import edition_number
from intake.flow.lookup.resolve import parse_known
from intake.identifiers.parse import parse
from intake.model.editions import BookSet, Edition
from intake.model.identifiers import Identifier, NumberKind, Rejection
from intake.model.sightings import QueryState


@dataclass(frozen=True, slots=True)
class LookupTarget:
    """What is looked up.

    Attributes:
        identifier: the number; None where the title is looked up instead.
        editions: what the catalog has under it; mostly one or none.
        set_title: of the set of the one edition, empty for none.
    """

    identifier: Identifier | None
    title: str = ""
    editions: tuple[Edition, ...] = ()
    set_title: str = ""

    @property
    def name(self) -> str:
        """Return the number as it is written, else the title."""
        return self.identifier.written if self.identifier else self.title


def lookup_targets(reader: LibraryReader | None, names: Iterable[str], title: str = "") -> tuple[LookupTarget, ...]:
    """Return what a person means: numbers, own keys of editions, words of a title.

    Args:
        reader: of the library; None where there is none, and nothing is known.
        names: numbers or keys. An edition without a number is looked up by its title.
        title: words of a title, for what has neither.

    Raises:
        RefusedError: a name is neither a number of a book or a periodical nor a key of the catalog.
    """
    targets = tuple(_target(reader, name) for name in dict.fromkeys(names))
    return (*targets, LookupTarget(None, title)) if title.strip() else targets


def waiting_targets(reader: LibraryReader) -> tuple[LookupTarget, ...]:
    """Return the numbers on the query pile that the catalog does not have, oldest first: they wait to be looked up."""
    read = (edition_number(query.number or "") for query in list_queries(reader, QueryState.WAITING))
    waiting = {identifier.number: identifier for identifier in read if identifier is not None}
    known = known_numbers(reader, waiting)
    return tuple(LookupTarget(identifier) for number, identifier in waiting.items() if number not in known)


def same_number(text: str, identifier: Identifier) -> bool:
    """Tell whether a text of a record is a number, a serial's under any variant."""
    read = edition_number(text)
    return read is not None and carries(Edition(id=0, title="", number=read.number), identifier.number)


def _target(reader: LibraryReader | None, name: str) -> LookupTarget:
    by_key = edition_by_key(reader, name) if reader is not None else None
    if by_key is not None:
        identifier = edition_number(by_key.number or "")
        title = "" if identifier else by_key.title
        return LookupTarget(identifier, title, (by_key,), _set_title(reader, (by_key,)))
    read = parse(name) if reader is None else parse_known(reader, name)
    if isinstance(read, Rejection) or read.kind is NumberKind.OWN:
        why = read.reason if isinstance(read, Rejection) else "it is one of this library's own"
        raise RefusedError(
            repr(name),
            f"is neither a number of a book or a periodical nor a key of the catalog: {why}",
            "correct it, or look up the title",
        )
    editions = editions_by_number(reader, read.number, read.add_on) if reader is not None else ()
    return LookupTarget(read, editions=editions, set_title=_set_title(reader, editions))


def _set_title(reader: LibraryReader | None, editions: Sequence[Edition]) -> str:
    set_id = editions[0].set_id if len(editions) == 1 else None
    book_set = reader.get(BookSet, set_id) if reader is not None and set_id is not None else None
    return book_set.title if book_set is not None else ""
