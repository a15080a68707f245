"""What the text of a scan may be: a number matched with the catalog, or words matched with its titles."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from intake.edges.store.queries.copies import copies_in_box, copies_of_editions, copies_of_families
from intake.edges.store.queries.editions import carries, holds_number
from intake.edges.store.queries.words import find_editions, find_editions_sharing, words_like
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.found_editions import known_repairs, repaired_reason
from intake.flow.lookup.resolve import parse_known
from intake.identifiers.parse import parse
from intake.identifiers.repairs import twins
from intake.matching.copy_candidates import candidates_of
from intake.matching.rank import rank
from intake.matching.titles import rank_named, rank_titles
from intake.model.editions import SEEN, Copy, CopyState, Edition, title_key
from intake.model.folding import word_forms
from intake.model.identifiers import Identifier, NumberKind, OwnKind, Rejection
from intake.model.matches import Match, MatchCandidate, MatchVerdict
from intake.model.reasons import Reason, ReasonKind, Reasons
from intake.model.volumes import split_volume

TITLES_SHOWN = 5
TITLES_LOOKED_AT = 50
SHORTEST_WORD = 3
"""Words shorter than this ("of", "de") do not distinguish one title from another."""
MOST_LIKE = 5
"""Most words of the library that one mistyped word is looked up as."""


@dataclass(frozen=True, slots=True)
class Identification:
    """What a scan may be.

    Attributes:
        identifier: the number, where the text is one.
        candidates: best first.
        certain: whether the first may be booked without asking, if the number itself can be trusted.
        why: the reasons.
    """

    identifier: Identifier | None
    verdict: MatchVerdict
    candidates: tuple[MatchCandidate, ...]
    certain: bool
    why: Reasons


@dataclass(frozen=True, slots=True)
class Doubtful:
    """Texts that one thing may be, the best first, and the number of the open box."""

    texts: tuple[str, ...]
    box: str | None


@dataclass(frozen=True, slots=True)
class Families:
    """The editions that carry some numbers, the other editions of their titles, and the copies of all these."""

    editions: tuple[Edition, ...]
    copies: tuple[Copy, ...]

    def hold(self, identifier: Identifier) -> bool:
        """Return whether an edition carries this number."""
        return any(carries(edition, identifier.number) for edition in self.editions)

    def match(self, identifier: Identifier, box: str | None) -> Match:
        """Rank what a book with this number may be."""
        carrying = [edition for edition in self.editions if carries(edition, identifier.number)]
        exact = [edition for edition in carrying if identifier.add_on and edition.add_on == identifier.add_on]
        editions = exact or carrying
        ids = {edition.id for edition in editions}
        siblings = [
            other
            for other in self.editions
            if other.id not in ids and any(_is_sibling(other, edition) for edition in editions)
        ]
        return rank(identifier, editions=editions, siblings=siblings, copies=self.copies, box=box)


def _is_sibling(other: Edition, edition: Edition) -> bool:
    """Return whether two editions have the same title; another volume is another book, whatever its title."""
    same = title_key(other.title) == title_key(edition.title) and other.volume == edition.volume
    return same and (edition.set_id is None or other.set_id != edition.set_id)


def families(records: LibraryReader, numbers: Iterable[str]) -> Families:
    """Fetch the families of some numbers."""
    return Families(*copies_of_families(records, numbers))


def identify(records: LibraryReader, text: str, box: str | None) -> Identification:
    """Match a number or a title with the catalog, the open box first."""
    return identify_each(records, [Doubtful((text,), box)])[0]


def identify_any(records: LibraryReader, texts: Sequence[str], box: str | None) -> Identification:
    """Match what a doubtful reading may be, its best number first; what the others may be comes after it."""
    return identify_each(records, [Doubtful(tuple(texts), box)])[0]


def identify_each(records: LibraryReader, things: Sequence[Doubtful]) -> tuple[Identification, ...]:
    """Match several things with the catalog; their numbers together take no more statements than one."""
    texts = dict.fromkeys(text for thing in things for text in thing.texts if text.strip())
    parsed = {text: parse_known(records, text) for text in texts}
    by_number = families(records, _numbers(parsed.values()))
    return tuple(
        _joined([_identified(records, text, parsed.get(text), thing.box, by_number) for text in thing.texts])
        for thing in things
    )


def _numbers(parsed: Iterable[Identifier | Rejection]) -> list[str]:
    """Return the numbers to look up: those that were read, and the catalog's that a wrong one may have been."""
    numbers: list[str] = []
    for result in parsed:
        if isinstance(result, Rejection):
            numbers += (repair.number for repair in known_repairs(result))
        elif result.kind is not NumberKind.OWN:
            numbers += (result.number, *(twin.number for twin in twins(result.number)))
    return numbers


def _identified(
    records: LibraryReader, text: str, parsed: Identifier | Rejection | None, box: str | None, by_number: Families
) -> Identification:
    if parsed is None:
        return _unknown(None, Reason(ReasonKind.NOTHING_READ))
    if isinstance(parsed, Rejection):
        return _by_repair(parsed, box, by_number) or _by_words(records, text, parsed, box)
    if parsed.kind is NumberKind.OWN:
        return _by_flag(records, parsed)
    match = by_number.match(parsed, box)
    if (twin := next(filter(by_number.hold, twins(parsed.number)), None)) is not None:
        return _or_its_twin(parsed, match, twin, by_number.match(twin, box))
    return Identification(parsed, match.verdict, match.candidates, match.certain, _why(match, parsed))


def _unknown(identifier: Identifier | None, why: Reason) -> Identification:
    return Identification(identifier, MatchVerdict.UNKNOWN, (), certain=False, why=(why,))


def _joined(identifications: Sequence[Identification]) -> Identification:
    """Put what the less likely numbers may be after what the likeliest may be."""
    first, *others = identifications
    if not others:
        return first
    known = {_key(candidate) for candidate in first.candidates}
    more = {
        _key(candidate): candidate for other in others for candidate in other.candidates if _key(candidate) not in known
    }
    names = tuple(other.identifier.written for other in others if other.identifier is not None)
    verdict = first.verdict if first.candidates or not more else next(iter(more.values())).verdict
    why = (*first.why, Reason(ReasonKind.OTHER_NUMBERS, texts=names))
    return replace(first, verdict=verdict, candidates=(*first.candidates, *more.values()), why=why)


def _key(candidate: MatchCandidate) -> tuple[int, str | None]:
    return candidate.edition.id, candidate.copy.accession if candidate.copy else None


def match_number(records: LibraryReader, identifier: Identifier, box: str | None) -> Match:
    """Fetch what carries the number, and its like under other numbers, and rank it."""
    return families(records, [identifier.number]).match(identifier, box)


def _or_its_twin(read: Identifier, match: Match, twin: Identifier, meant: Match) -> Identification:
    """Ask which of two numbers is meant that swapped neighbours tell apart, which the check digit does not notice.

    The catalog holds the second; where it holds both, what the first may be comes first.
    """
    kind = ReasonKind.TWIN_NUMBER if match.candidates else ReasonKind.NEIGHBOURS_SWAPPED
    why = (*_why(match, read), Reason(kind, number=twin.written))
    verdict = match.verdict if match.candidates else meant.verdict
    return Identification(read, verdict, (*match.candidates, *meant.candidates), certain=False, why=why)


def _why(match: Match, identifier: Identifier) -> Reasons:
    if not match.candidates:
        return (Reason(ReasonKind.NOT_IN_CATALOG, number=identifier.written),)
    return match.candidates[0].reasons


def _by_flag(records: LibraryReader, identifier: Identifier) -> Identification:
    """A copy's own flag was scanned: it names the copy itself."""
    copy = records.get(Copy, identifier.number) if identifier.own_kind is OwnKind.COPY else None
    edition = records.get(Edition, copy.edition_id) if copy else None
    if copy is None or edition is None:
        return _unknown(identifier, Reason(ReasonKind.NO_SUCH_COPY, number=identifier.number))
    if copy.state is CopyState.WITHDRAWN:
        return _unknown(identifier, Reason(ReasonKind.WITHDRAWN, copy=copy.accession))
    reasons: Reasons = (Reason(ReasonKind.OWN_FLAG),)
    if copy.state in SEEN:
        reasons = (*reasons, Reason(ReasonKind.OUT_ALREADY, copy=copy.accession, state=copy.state))
    candidate = MatchCandidate(edition, copy, MatchVerdict.EXPECTED, 1.0, reasons)
    return Identification(identifier, MatchVerdict.EXPECTED, (candidate,), certain=True, why=reasons)


def identify_copies(records: LibraryReader, accessions: Sequence[str], box: str | None) -> Identification:
    """Return what a cover may be of: copies, best first; certain where it is one alone, expected in the open box."""
    copies = [copy for copy in records.get_many(Copy, accessions).values() if copy.state is not CopyState.WITHDRAWN]
    editions = records.get_many(Edition, {copy.edition_id for copy in copies})
    copies.sort(key=lambda copy: accessions.index(copy.accession))
    found = [
        next(each for each in candidates_of(editions[copy.edition_id], [copy], box) if each.copy is not None)
        for copy in copies
        if copy.edition_id in editions
    ]
    if not found:
        return _unknown(None, Reason(ReasonKind.NOTHING_READ))
    certain = len(found) == 1 and found[0].verdict is MatchVerdict.EXPECTED
    return Identification(None, found[0].verdict, tuple(found), certain=certain, why=found[0].reasons)


def _by_repair(rejection: Rejection, box: str | None, by_number: Families) -> Identification | None:
    """Offer the catalog's numbers that a wrong text may have been; never certain."""
    meant = [
        (repair, by_number.match(number, box))
        for repair in known_repairs(rejection)
        if isinstance(number := parse(repair.number), Identifier)
    ]
    if not meant:
        return None
    rejected = Reason(ReasonKind.REJECTED, texts=(rejection.reason,))
    repaired = (repaired_reason(repair) for repair, _ in meant)
    candidates = {_key(candidate): candidate for _, match in meant for candidate in match.candidates}
    why = (rejected, *repaired)
    return Identification(None, meant[0][1].verdict, tuple(candidates.values()), certain=False, why=why)


def _by_words(records: LibraryReader, text: str, rejection: Rejection, box: str | None) -> Identification:
    """Offer what the words name, else the titles most like them; never certain."""
    having = find_editions(records, text, TITLES_LOOKED_AT)
    named = _named(text, having)
    here = editions_in_box(records, box) if box and not named else ()
    editions = named or tuple(dict.fromkeys((*here, *having, *titles_near(records, text))))
    copies = copies_of_editions(records, [edition.id for edition in editions])
    alike = rank_named(named, copies=copies, box=box) if named else rank_titles(text, editions, copies=copies, box=box)
    if candidates := alike[:TITLES_SHOWN]:
        why = (Reason(ReasonKind.TITLES_ALIKE, texts=(text,)),)
        if len(alike) > len(candidates):
            why = (replace(why[0], count=len(candidates), of=len(alike)),)
        return Identification(None, candidates[0].verdict, candidates, certain=False, why=why)
    if sum(map(str.isalpha, text)) > sum(map(str.isdecimal, text)):
        return _unknown(None, Reason(ReasonKind.NO_TITLE_ALIKE, texts=(text,)))
    return _unknown(None, Reason(ReasonKind.REJECTED, texts=(rejection.reason,)))


def _named(text: str, having: Sequence[Edition]) -> tuple[Edition, ...]:
    """Return those of the editions found that a text names by key, or else by volume, so that no other is meant."""
    key = text.strip().casefold()
    by_key = tuple(edition for edition in having if edition.key and edition.key.casefold() == key)
    return by_key or (tuple(having) if split_volume(text)[1] else ())


def editions_in_box(records: LibraryReader, box: str) -> tuple[Edition, ...]:
    """Return the editions of the copies that are listed in a box."""
    here = {copy.edition_id for copy in copies_in_box(records, box)}
    return tuple(records.get_many(Edition, sorted(here)).values())


def titles_near(records: LibraryReader, text: str) -> tuple[Edition, ...]:
    """Gather editions worth comparing with a text: those that share a word with it, or have one but for a slip."""
    typed = tuple(forms for forms in word_forms(text) if len(forms[0]) >= SHORTEST_WORD)
    like = words_like(records, typed)
    words = [word for forms in typed for word in (forms[0], *like.get(forms[0], ())[:MOST_LIKE])]
    return tuple(find_editions_sharing(records, words, TITLES_LOOKED_AT)) if words else ()


def explain(text: str, reader: LibraryReader | None = None) -> Identifier | Rejection:
    """Return the number that a text is, or which check it fails and what would make it valid.

    Args:
        text: as typed.
        reader: of a library, whose numbers come first among the repairs; None where there is none.
    """
    return parse(text) if reader is None else parse(text, is_known=partial(holds_number, reader))


def edition_number(text: str) -> Identifier | None:
    """Return the number that an edition may carry, None for anything else, a number of the tool's own included."""
    identifier = parse(text)
    return identifier if isinstance(identifier, Identifier) and identifier.own_kind is None else None
