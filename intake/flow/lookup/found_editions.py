"""The editions that a typed text means, and what was taken for what to find them: nothing is guessed in silence."""

from dataclasses import dataclass

from intake.edges.store.queries.editions import carries, editions_by_number, editions_with_any
from intake.edges.store.queries.words import find_editions, find_editions_like
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import parse_known
from intake.identifiers.repairs import twins
from intake.model.boxes import Box
from intake.model.editions import Copy, Edition
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection, Repair
from intake.model.places import Place
from intake.model.reasons import Reason, ReasonKind, Reasons

MOST_MEANT = 3
"""Most numbers of the catalog that are offered for one wrong text."""

_RECORDS: dict[OwnKind | None, type[Copy | Box | Place]] = {OwnKind.BOX: Box, OwnKind.PLACE: Place}


@dataclass(frozen=True, slots=True)
class FoundEditions:
    """Editions, the closest first.

    Attributes:
        more: whether there are more than were asked for.
        why: what is to be said of the text: why it is no number, or which words or number were taken for it.
    """

    editions: tuple[Edition, ...] = ()
    more: bool = False
    why: Reasons = ()


def look_up(reader: LibraryReader, text: str, limit: int) -> FoundEditions:
    """Find the editions that a number, a key, or words mean.

    Args:
        reader: of the library.
        text: as typed.
        limit: most editions to return.
    """
    return look_up_parsed(reader, text, parse_known(reader, text), limit)


def look_up_parsed(reader: LibraryReader, text: str, parsed: Identifier | Rejection, limit: int) -> FoundEditions:
    """Find the editions that a text means which was read already, see `look_up`."""
    by_number = FoundEditions()
    if isinstance(parsed, Identifier) and parsed.kind is not NumberKind.OWN:
        by_number = _of_number(reader, parsed, limit)
        if by_number.editions and by_number.why == ():
            return by_number
    found = find_editions(reader, text, limit + 1)
    if found or by_number.editions:
        editions = tuple(dict.fromkeys((*found, *by_number.editions)))
        return FoundEditions(editions[:limit], len(editions) > limit, () if found else by_number.why)
    if isinstance(parsed, Identifier):
        return by_number if parsed.own_kind is None else FoundEditions(why=(_about_own(reader, parsed),))
    return _with_slip(reader, text, limit) or _repaired(reader, parsed, limit)


def _about_own(reader: LibraryReader, identifier: Identifier) -> Reason:
    """Return whether nothing has an own number, or what has it holds no copy."""
    held = reader.get(_RECORDS.get(identifier.own_kind, Copy), identifier.number) is not None
    return Reason(ReasonKind.NO_COPY_THERE if held else ReasonKind.NO_SUCH_NUMBER, number=identifier.number)


def _of_number(reader: LibraryReader, identifier: Identifier, limit: int) -> FoundEditions:
    """Find what carries the number, or the one that two neighbours swapped make of it; one statement."""
    other = {twin.number: twin for twin in twins(identifier.number)}
    found = editions_with_any(reader, (identifier.number, *other))
    own = [edition for edition in found if carries(edition, identifier.number)]
    own = [edition for edition in own if identifier.add_on and edition.add_on == identifier.add_on] or own
    swapped = [edition for edition in found if not carries(edition, identifier.number)]
    held = [other[edition.number].written for edition in swapped if edition.number in other]
    kind = ReasonKind.TWIN_NUMBER if own else ReasonKind.NEIGHBOURS_SWAPPED
    why = () if own else (Reason(ReasonKind.NOT_IN_CATALOG, number=identifier.written),)
    why = (*why, *(Reason(kind, number=written) for written in dict.fromkeys(held)))
    editions = (*own, *swapped)
    return FoundEditions(editions[:limit], len(editions) > limit, why)


def _with_slip(reader: LibraryReader, text: str, limit: int) -> FoundEditions | None:
    """Find what has these words but for a slip in typing; None where nothing has."""
    editions, near = find_editions_like(reader, text, limit + 1)
    if not editions:
        return None
    why = tuple(Reason(ReasonKind.WORD_ALIKE, texts=(word, other)) for word, others in near.items() for other in others)
    return FoundEditions(editions[:limit], len(editions) > limit, why)


def _repaired(reader: LibraryReader, rejection: Rejection, limit: int) -> FoundEditions:
    """Find what a wrong number may have been; for a text that is mostly letters nothing is said of numbers."""
    digits, letters = (sum(map(test, rejection.text)) for test in (str.isdecimal, str.isalpha))
    if digits <= letters:
        return FoundEditions()
    why = (Reason(ReasonKind.REJECTED, texts=(f"{rejection.text}: {rejection.reason}",)),)
    known = known_repairs(rejection)
    found = (edition for repair in known for edition in editions_by_number(reader, repair.number, repair.add_on))
    editions = tuple(dict.fromkeys(found))
    return FoundEditions(editions[:limit], len(editions) > limit, (*why, *map(repaired_reason, known)))


def known_repairs(rejection: Rejection) -> tuple[Repair, ...]:
    """Return the numbers of the catalog that a wrong text may have been, each once, the likeliest first."""
    known = {repair.written: repair for repair in reversed(rejection.repairs) if repair.in_catalog}
    return tuple(reversed(known.values()))[:MOST_MEANT]


def repaired_reason(repair: Repair) -> Reason:
    """Return the reason that names such a number, and the change that makes it."""
    return Reason(ReasonKind.REPAIRED, number=repair.written, texts=(repair.how,))
