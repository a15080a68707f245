"""What the recorded copies of one edition make of a book in the hand, with an open box before the person or without.

Only the records are weighed here; whether the number was read rightly is not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from intake.model.editions import Copy, CopyState, Edition
from intake.model.matches import MatchCandidate, MatchVerdict

STRENGTHS = {
    MatchVerdict.EXPECTED: 1.0,
    MatchVerdict.ELSEWHERE: 0.7,
    MatchVerdict.SECOND_COPY: 0.5,
    MatchVerdict.OTHER_EDITION: 0.4,
    MatchVerdict.UNLISTED: 0.3,
}
"""How strong a candidate is by its verdict alone; what is said against it divides this further."""

RECORDED_MISSING = 0.9
SEEN_ELSEWHERE = 0.8
OTHER_COPY = 0.95

SEEN = (CopyState.UNPACKED, CopyState.SHELVED)


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
    elif own:
        found = [_second(edition, len(own)), *(_seen(edition, copy, box) for copy in own)]
    else:
        reason = "in the catalog, but no copy of it was ever recorded"
        found = [MatchCandidate(edition, None, MatchVerdict.UNLISTED, STRENGTHS[MatchVerdict.UNLISTED], (reason,))]
    return tuple(sorted(found, key=lambda candidate: -candidate.strength))


def alike_groups(copies: Iterable[Copy]) -> list[list[Copy]]:
    """Group copies that differ in nothing but accession number and shelfmark, which a wrapped book does not show."""
    groups: dict[Copy, list[Copy]] = {}
    for copy in copies:
        groups.setdefault(replace(copy, accession="", shelfmark=""), []).append(copy)
    return list(groups.values())


def where_listed(copy: Copy) -> str:
    """Say where the records have a copy.

    >>> where_listed(Copy(accession="A1", edition_id=1, box="B7", state=CopyState.PACKED))
    'listed in box B7'
    """
    if copy.state is CopyState.MISSING:
        return f"recorded as missing from box {copy.box}" if copy.box else "recorded as missing"
    if copy.state is CopyState.PACKED:
        return f"listed in box {copy.box}" if copy.box else "listed as packed, in no known box"
    if copy.state is CopyState.AT_HAND:
        return "listed as not packed"
    return f"{copy.state}, from box {copy.box}" if copy.box else str(copy.state)


def _unseen(edition: Edition, alike: Sequence[Copy], box: str | None) -> MatchCandidate:
    copy = alike[0]
    here = box is not None and copy.box == box and copy.state is not CopyState.AT_HAND
    verdict = MatchVerdict.EXPECTED if here else MatchVerdict.ELSEWHERE
    strength = STRENGTHS[verdict]
    reasons = ["listed in this box and not yet seen" if here else where_listed(copy)]
    if copy.state is CopyState.MISSING:
        strength *= RECORDED_MISSING
        reasons = ["recorded as missing from this box; it seems to have turned up"] if here else reasons
    if len(alike) > 1:
        reasons.append(f"{len(alike)} alike; any of them may be booked")
    return MatchCandidate(edition, copy, verdict, strength, tuple(reasons))


def _second(edition: Edition, recorded: int) -> MatchCandidate:
    each = "its one recorded copy has" if recorded == 1 else f"each of its {recorded} recorded copies has"
    reason = f"{each} been seen already; this may be one more"
    strength = STRENGTHS[MatchVerdict.SECOND_COPY] * OTHER_COPY
    return MatchCandidate(edition, None, MatchVerdict.SECOND_COPY, strength, (reason,))


def _seen(edition: Edition, copy: Copy, box: str | None) -> MatchCandidate:
    """Count the same book held up twice as likelier than one more, if it came out of this very box."""
    here = box is not None and copy.box == box
    where = "taken out of this box already" if here else where_listed(copy)
    strength = STRENGTHS[MatchVerdict.SECOND_COPY] * (1.0 if here else SEEN_ELSEWHERE)
    reason = f"copy {copy.accession} was {where}; this may be the same book again"
    return MatchCandidate(edition, copy, MatchVerdict.SECOND_COPY, strength, (reason,))
