"""What the recorded copies of one edition make of a book in the hand, with an open box before the person or without.

Only the records count here; whether the number was read rightly is not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from intake.model.editions import SEEN, Copy, CopyState, Edition
from intake.model.matches import MatchCandidate, MatchVerdict
from intake.model.reasons import Reason, ReasonKind

STRENGTHS = {
    MatchVerdict.EXPECTED: 1.0,
    MatchVerdict.ELSEWHERE: 0.7,
    MatchVerdict.SECOND_COPY: 0.5,
    MatchVerdict.OTHER_EDITION: 0.4,
    MatchVerdict.UNLISTED: 0.3,
}
"""How strong a candidate is by its verdict alone; what is said against it divides this further."""

RECORDED_MISSING = 0.9
SEEN_HERE_BEFORE_LISTED = 0.8
"""A book held up twice at the box it came out of is likelier than its other copy, listed in another box."""
SEEN_ELSEWHERE = 0.8
OTHER_COPY = 0.95


def candidates_of(edition: Edition, copies: Iterable[Copy], box: str | None) -> tuple[MatchCandidate, ...]:
    """List what a book of this edition may be, best first; never empty.

    Copies that nothing tells apart but their numbers are one candidate, the lowest accession number standing for them.

    Args:
        edition: the edition that the book is of.
        copies: recorded copies; those of other editions are passed over.
        box: number of the open box, None where there is none.
    """
    own = sorted((copy for copy in copies if copy.edition_id == edition.id), key=lambda copy: copy.accession)
    unseen = [copy for copy in own if copy.state not in SEEN]
    if unseen:
        found = [_unseen(edition, alike, box) for alike in alike_groups(unseen)]
        again = [_seen(edition, copy, box) for copy in own if copy.state in SEEN and _came_from(copy, box)]
        found += [replace(candidate, strength=SEEN_HERE_BEFORE_LISTED) for candidate in again]
    elif own:
        found = [_second(edition, len(own)), *(_seen(edition, copy, box) for copy in own)]
    else:
        reasons = (Reason(ReasonKind.UNLISTED),)
        found = [MatchCandidate(edition, None, MatchVerdict.UNLISTED, STRENGTHS[MatchVerdict.UNLISTED], reasons)]
    return tuple(sorted(found, key=lambda candidate: -candidate.strength))


def alike_groups(copies: Iterable[Copy]) -> list[list[Copy]]:
    """Group copies that differ in nothing but accession number and shelfmark, which a wrapped book does not show."""
    groups: dict[Copy, list[Copy]] = {}
    for copy in copies:
        groups.setdefault(apart_from_number(copy), []).append(copy)
    return list(groups.values())


def apart_from_number(copy: Copy) -> Copy:
    """Return what a wrapped book may show of a copy."""
    return replace(copy, accession="", shelfmark="")


def _unseen(edition: Edition, alike: Sequence[Copy], box: str | None) -> MatchCandidate:
    copy = alike[0]
    here = box is not None and copy.box == box and copy.state is not CopyState.AT_HAND
    verdict = MatchVerdict.EXPECTED if here else MatchVerdict.ELSEWHERE
    strength = STRENGTHS[verdict]
    elsewhere = Reason(ReasonKind.LISTED_ELSEWHERE, state=copy.state, box=copy.box)
    reasons = [Reason(ReasonKind.LISTED_HERE) if here else elsewhere]
    if copy.state is CopyState.MISSING:
        strength *= RECORDED_MISSING
        reasons = [Reason(ReasonKind.TURNED_UP)] if here else reasons
    if len(alike) > 1:
        reasons.append(Reason(ReasonKind.ALIKE, count=len(alike)))
    return MatchCandidate(edition, copy, verdict, strength, tuple(reasons))


def _came_from(copy: Copy, box: str | None) -> bool:
    return box is not None and copy.box == box


def _second(edition: Edition, recorded: int) -> MatchCandidate:
    reasons = (Reason(ReasonKind.ALL_SEEN, count=recorded),)
    strength = STRENGTHS[MatchVerdict.SECOND_COPY] * OTHER_COPY
    return MatchCandidate(edition, None, MatchVerdict.SECOND_COPY, strength, reasons)


def _seen(edition: Edition, copy: Copy, box: str | None) -> MatchCandidate:
    """Count the same book held up twice as likelier than one more, if it came out of this very box."""
    here = _came_from(copy, box)
    elsewhere = Reason(ReasonKind.SEEN_ELSEWHERE, copy=copy.accession, state=copy.state, box=copy.box)
    reason = Reason(ReasonKind.SEEN_HERE, copy=copy.accession) if here else elsewhere
    strength = STRENGTHS[MatchVerdict.SECOND_COPY] * (1.0 if here else SEEN_ELSEWHERE)
    return MatchCandidate(edition, copy, MatchVerdict.SECOND_COPY, strength, (reason,))
