"""What the text of a scan may be: a number matched with the catalog, or words matched with its titles."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from intake.edges.store.queries.copies import copies_in_box, copies_of_editions
from intake.edges.store.queries.editions import editions_by_number, editions_by_title_key, find_editions, holds_number
from intake.edges.store.reader import LibraryReader
from intake.identifiers.parse import parse
from intake.identifiers.repairs import neighbours_swapped
from intake.matching.rank import rank
from intake.matching.titles import rank_titles
from intake.model.editions import Copy, Edition, title_key
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection
from intake.model.matches import Match, MatchCandidate, MatchVerdict

TITLES_SHOWN = 5
TITLES_LOOKED_AT = 50
SHORTEST_WORD = 3
"""Letters below which a word ("of", "de") tells no title from another."""


@dataclass(frozen=True, slots=True)
class Identification:
    """What a scan may be.

    Attributes:
        identifier: the number, where the text is one.
        candidates: best first.
        certain: whether the first may be booked without asking, if the number itself can be trusted.
        why: the reason, in words for a person.
    """

    identifier: Identifier | None
    verdict: MatchVerdict
    candidates: tuple[MatchCandidate, ...]
    certain: bool
    why: str


def identify(records: LibraryReader, text: str, box: str | None) -> Identification:
    """Weigh a number or a title against the catalog, the open box first."""
    if not text.strip():
        return Identification(None, MatchVerdict.UNKNOWN, (), certain=False, why="nothing was read")
    found = parse(text, is_known=partial(holds_number, records))
    if isinstance(found, Identifier):
        if found.kind is NumberKind.OWN:
            return _weigh_own(records, found)
        match = match_number(records, found, box)
        if not match.candidates and (swapped := _swapped(records, found)) is not None:
            meant = match_number(records, swapped, box)
            why = f"{_why(match, found)}, but {swapped.written}, two neighbours swapped, is in it"
            return Identification(found, meant.verdict, meant.candidates, certain=False, why=why)
        return Identification(found, match.verdict, match.candidates, match.certain, _why(match, found))
    return _weigh_words(records, text, found, box)


def identify_any(records: LibraryReader, texts: Sequence[str], box: str | None) -> Identification:
    """Weigh what a doubtful reading may be, its best number first; what the others may be comes after it."""
    weighed, *others = (identify(records, text, box) for text in texts)
    if not others:
        return weighed
    known = {_key(candidate) for candidate in weighed.candidates}
    more = {_key(each): each for other in others for each in other.candidates if _key(each) not in known}
    names = ", ".join(other.identifier.written for other in others if other.identifier is not None)
    verdict = weighed.verdict if weighed.candidates or not more else next(iter(more.values())).verdict
    why = f"{weighed.why}; it may be {names} too"
    return replace(weighed, verdict=verdict, candidates=(*weighed.candidates, *more.values()), why=why)


def _key(candidate: MatchCandidate) -> tuple[int, str | None]:
    return candidate.edition.id, candidate.copy.accession if candidate.copy else None


def match_number(records: LibraryReader, identifier: Identifier, box: str | None) -> Match:
    """Fetch what carries the number, and its like under other numbers, and rank it."""
    editions = editions_by_number(records, identifier.number, identifier.add_on)
    ids = {edition.id for edition in editions}
    like = [(title_key(edition.title), edition.volume, edition.set_id) for edition in editions]
    siblings = [
        other
        for key, volume, set_id in dict.fromkeys(like)
        for other in editions_by_title_key(records, key)
        # Another volume is another book, whatever its title says.
        if other.id not in ids and other.volume == volume and (set_id is None or other.set_id != set_id)
    ]
    copies = copies_of_editions(records, [edition.id for edition in (*editions, *siblings)])
    return rank(identifier, editions=editions, siblings=siblings, copies=copies, box=box)


def _swapped(records: LibraryReader, identifier: Identifier) -> Identifier | None:
    """Return a number of the catalog that a swap of neighbours turns into this one: mod 10 misses one swap in nine."""
    for number, _how in neighbours_swapped(identifier.number):
        if holds_number(records, number):
            found = parse(number)
            if isinstance(found, Identifier):
                return found
    return None


def _why(match: Match, identifier: Identifier) -> str:
    if not match.candidates:
        return f"no edition in the catalog carries {identifier.written}"
    return "; ".join(match.candidates[0].reasons)


def _weigh_own(records: LibraryReader, identifier: Identifier) -> Identification:
    """A copy's own flag was scanned: it names the copy itself."""
    copy = records.get(Copy, identifier.number) if identifier.own_kind is OwnKind.COPY else None
    edition = records.get(Edition, copy.edition_id) if copy else None
    if copy is None or edition is None:
        why = f"{identifier.number} is no copy of this library"
        return Identification(identifier, MatchVerdict.UNKNOWN, (), certain=False, why=why)
    reasons = ("its own flag was read",)
    candidate = MatchCandidate(edition, copy, MatchVerdict.EXPECTED, 1.0, reasons)
    return Identification(identifier, MatchVerdict.EXPECTED, (candidate,), certain=True, why=reasons[0])


def _weigh_words(records: LibraryReader, text: str, rejection: Rejection, box: str | None) -> Identification:
    """No number: the repairs that the catalog holds, else the titles most like the words; never certain."""
    for repair in rejection.repairs:
        fixed = parse(repair.number) if repair.in_catalog else rejection
        if isinstance(fixed, Identifier):
            match = match_number(records, fixed, box)
            why = f"{rejection.reason}; {repair.written} would be valid ({repair.how})"
            return Identification(None, match.verdict, match.candidates, certain=False, why=why)
    editions = _titles_near(records, text, box)
    copies = copies_of_editions(records, [edition.id for edition in editions])
    candidates = rank_titles(text, editions, copies=copies, box=box)[:TITLES_SHOWN]
    if candidates:
        return Identification(None, candidates[0].verdict, candidates, certain=False, why=f"titles like {text!r}")
    if sum(map(str.isalpha, text)) > sum(map(str.isdecimal, text)):
        why = f"no title in the catalog is like {text!r}"
        return Identification(None, MatchVerdict.UNKNOWN, (), certain=False, why=why)
    return Identification(None, MatchVerdict.UNKNOWN, (), certain=False, why=rejection.reason)


def _titles_near(records: LibraryReader, text: str, box: str | None) -> tuple[Edition, ...]:
    """Gather editions whose titles are worth comparing: those of the open box, and those that share a word."""
    here = {copy.edition_id for copy in copies_in_box(records, box)} if box else set()
    in_box = [edition for edition in map(partial(records.get, Edition), sorted(here)) if edition is not None]
    words = [word for word in title_key(text).split() if len(word) >= SHORTEST_WORD]
    by_word = [edition for word in words for edition in find_editions(records, word, TITLES_LOOKED_AT)]
    return tuple(dict.fromkeys((*in_box, *find_editions(records, text, TITLES_LOOKED_AT), *by_word)))
