"""What a book with this number may be: the editions that carry it and their recorded copies, ranked with reasons.

Which mistake is worse: booking the wrong copy is, so a match is `certain` only if exactly one edition carries the
number and nothing is left for a person to decide. Whether the number was read rightly is judged elsewhere.

One issue of a periodical is named by its number and its add-on together: two digits beside an EAN-13 of prefix 977
(GS1 General Specifications, section on serial publications), five beside the UPC of a magazine or comic. The add-on
of an ISBN is a price and names nothing; it only breaks ties.
"""

from collections.abc import Sequence
from dataclasses import replace

from intake.matching.copy_candidates import STRENGTHS, candidates_of
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import Identifier, NumberKind
from intake.model.matches import Match, MatchCandidate, MatchVerdict
from intake.model.reasons import Reason, ReasonKind

ISSUED_KINDS = (NumberKind.ISSN, NumberKind.GTIN)
"""Kinds of number under which issues appear that the add-on tells apart."""

OTHER_ISSUE = 0.3
ISSUE_NOT_SAID = 0.8


def rank(
    identifier: Identifier,
    *,
    editions: Sequence[Edition],
    siblings: Sequence[Edition],
    copies: Sequence[Copy],
    box: str | None,
) -> Match:
    """Rank what the thing in the hand may be.

    Args:
        identifier: its number, with the add-on if one was read.
        editions: those that carry the number.
        siblings: other editions of the same title.
        copies: all recorded copies of both.
        box: number of the open box, None where there is none.

    Returns:
        Candidates, best first. The verdict is that of the first; UNKNOWN where no edition carries the number, or none
        is the issue that the add-on names.
    """
    found = [
        _by_add_on(candidate, identifier) for edition in editions for candidate in candidates_of(edition, copies, box)
    ]
    if len(editions) > 1:
        shared = Reason(ReasonKind.SHARED_NUMBER, count=len(editions))
        found = [replace(candidate, reasons=(*candidate.reasons, shared)) for candidate in found]
    if all(candidate.verdict is MatchVerdict.UNLISTED for candidate in found):
        found = _beside_siblings(found, siblings, copies)
    found.sort(key=_order)
    if all(_is_other_issue(edition, identifier) for edition in editions):
        return Match(identifier.number, MatchVerdict.UNKNOWN, tuple(found), certain=False)
    certain = len(editions) == 1 and _names_issue(editions[0], identifier) and _is_plain(found, copies, box)
    return Match(identifier.number, found[0].verdict, tuple(found), certain=certain)


def _order(candidate: MatchCandidate) -> tuple[float, int, int, str]:
    newest_first = -(candidate.edition.year or 0)
    accession = candidate.copy.accession if candidate.copy else ""
    return -candidate.strength, newest_first, candidate.edition.id, accession


def _is_other_issue(edition: Edition, identifier: Identifier) -> bool:
    """Tell whether the add-ons say that this is another issue."""
    if identifier.kind not in ISSUED_KINDS or identifier.add_on is None or edition.add_on is None:
        return False
    return edition.add_on != identifier.add_on


def _names_issue(edition: Edition, identifier: Identifier) -> bool:
    """Tell whether number and add-on leave no doubt of the issue."""
    if identifier.kind is NumberKind.ISSN:
        return edition.add_on is not None and edition.add_on == identifier.add_on
    return identifier.kind is not NumberKind.GTIN or edition.add_on == identifier.add_on


def _by_add_on(candidate: MatchCandidate, identifier: Identifier) -> MatchCandidate:
    """Weigh an edition's add-on against the one that was read."""
    own, read = candidate.edition.add_on, identifier.add_on
    strength, reasons = candidate.strength, candidate.reasons
    if own is not None and own == read:
        return replace(candidate, reasons=(*reasons, Reason(ReasonKind.ADD_ON_AS_READ, add_on=own)))
    if _is_other_issue(candidate.edition, identifier):
        other = Reason(ReasonKind.ADD_ON_OTHER_ISSUE, add_on=own, number=read)
        return replace(candidate, strength=strength * OTHER_ISSUE, reasons=(other, *reasons))
    if identifier.kind in ISSUED_KINDS and own != read:
        unread = Reason(ReasonKind.ADD_ON_NOT_READ, add_on=own)
        said = unread if read is None else Reason(ReasonKind.ISSUE_NOT_RECORDED)
        return replace(candidate, strength=strength * ISSUE_NOT_SAID, reasons=(*reasons, said))
    if own is not None:
        stated = Reason(ReasonKind.ADD_ON_STATED, add_on=own)
        return replace(candidate, strength=strength * ISSUE_NOT_SAID, reasons=(*reasons, stated))
    return candidate


def _beside_siblings(
    found: Sequence[MatchCandidate], siblings: Sequence[Edition], copies: Sequence[Copy]
) -> list[MatchCandidate]:
    """Where no copy of the number's editions is recorded, bring in recorded copies of the title's other editions.

    The book may be another edition than the list says, or the list may name the wrong one: a person sees which.
    """
    others: list[MatchCandidate] = []
    for sibling in siblings:
        for copy in (copy for copy in copies if copy.edition_id == sibling.id):
            strength = STRENGTHS[MatchVerdict.OTHER_EDITION] * (0.5 if copy.state is CopyState.PACKED else 0.4)
            listed = Reason(
                ReasonKind.COPY_OF_OTHER_EDITION,
                copy=copy.accession,
                state=copy.state,
                box=copy.box,
                texts=_details(sibling),
            )
            others.append(MatchCandidate(sibling, copy, MatchVerdict.OTHER_EDITION, strength, (listed,)))
    if not others:
        return list(found)
    reason = Reason(ReasonKind.OTHER_EDITION_RECORDED)
    raised = STRENGTHS[MatchVerdict.OTHER_EDITION] / STRENGTHS[MatchVerdict.UNLISTED]
    return [
        replace(
            candidate,
            verdict=MatchVerdict.OTHER_EDITION,
            strength=candidate.strength * raised,
            reasons=(reason, *candidate.reasons[1:]),
        )
        for candidate in found
    ] + others


def _details(edition: Edition) -> tuple[str, ...]:
    """Return what tells an edition from others of its title, as far as it is known."""
    texts = (edition.statement, edition.publisher, str(edition.year or ""), edition.binding, edition.number or "")
    return tuple(text for text in texts if text)


def _is_plain(found: Sequence[MatchCandidate], copies: Sequence[Copy], box: str | None) -> bool:
    """Tell whether the one edition's copies leave nothing to decide.

    With an open box: one kind of copy listed in it and still packed. Without: one kind of copy, all of it unseen, in
    one state and box.
    """
    best = found[0]
    if best.copy is None or best.copy.state not in (CopyState.PACKED, CopyState.AT_HAND):
        return False
    if box is None:
        own = [copy for copy in copies if copy.edition_id == best.edition.id]
        unseen = all(copy.state in (CopyState.PACKED, CopyState.AT_HAND) for copy in own)
        return len(found) == 1 and unseen
    return [candidate.verdict for candidate in found].count(
        MatchVerdict.EXPECTED
    ) == 1 and best.verdict is MatchVerdict.EXPECTED
