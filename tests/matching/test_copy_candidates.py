"""What the recorded copies make of a book in the hand: which of them it may be, the likeliest first."""

from dataclasses import replace

import pytest

from intake.matching.copy_candidates import alike_groups, candidates_of
from intake.model.editions import Copy, CopyState, Edition, Grade
from intake.model.matches import MatchCandidate, MatchVerdict
from intake.model.reasons import Reason, ReasonKind

GULLS = Edition(id=1, title="A Guide to Gulls")


def copy(accession: str, state: CopyState = CopyState.PACKED, box: str | None = "B1", edition: int = 1) -> Copy:
    return Copy(accession=accession, edition_id=edition, state=state, box=box)


def candidates(*copies: Copy, box: str | None = "B1") -> list[MatchCandidate]:
    return list(candidates_of(GULLS, copies, box))


def kinds(candidate: MatchCandidate) -> list[ReasonKind]:
    return [reason.kind for reason in candidate.reasons]


def order(*copies: Copy, box: str | None = "B1") -> list[str | None]:
    return [candidate.copy.accession if candidate.copy else None for candidate in candidates(*copies, box=box)]


def test_the_box_before_the_person_comes_first_then_other_boxes() -> None:
    here, there = candidates(copy("A1", box="B2"), copy("A2"))
    assert (here.copy, here.verdict, kinds(here)) == (copy("A2"), MatchVerdict.EXPECTED, [ReasonKind.LISTED_HERE])
    assert (there.verdict, kinds(there)) == (MatchVerdict.ELSEWHERE, [ReasonKind.LISTED_ELSEWHERE])
    assert 0 < there.strength < here.strength == 1


@pytest.mark.parametrize("state", [CopyState.PACKED, CopyState.MISSING, CopyState.AT_HAND])
def test_without_an_open_box_every_unseen_copy_is_elsewhere(state: CopyState) -> None:
    (found,) = candidates(copy("A1", state), box=None)
    assert (found.verdict, kinds(found)) == (MatchVerdict.ELSEWHERE, [ReasonKind.LISTED_ELSEWHERE])


def test_a_copy_at_hand_is_in_no_box_even_if_its_record_names_one() -> None:
    (found,) = candidates(copy("A1", CopyState.AT_HAND, "B1"))
    assert found.verdict is MatchVerdict.ELSEWHERE


def test_a_missing_copy_of_this_box_turned_up_and_is_less_likely_than_one_that_is_awaited() -> None:
    awaited, missing = candidates(copy("A1", CopyState.MISSING), copy("A2"))
    assert (awaited.copy, missing.copy) == (copy("A2"), copy("A1", CopyState.MISSING))
    assert kinds(missing) == [ReasonKind.TURNED_UP]
    assert missing.strength < awaited.strength
    elsewhere = candidates(copy("A1", CopyState.MISSING, "B2"))[0]
    assert kinds(elsewhere) == [ReasonKind.LISTED_ELSEWHERE]
    assert elsewhere.strength < candidates(copy("A1", box="B2"))[0].strength
    # It is likelier than a copy that is listed in another box.
    assert order(copy("A1", box="B2"), copy("A2", CopyState.MISSING)) == ["A2", "A1"]


def test_while_a_copy_is_unseen_those_seen_from_other_boxes_are_no_candidates() -> None:
    seen = copy("A1", CopyState.UNPACKED, "B3"), copy("A3", CopyState.SHELVED, "B4")
    assert order(*seen, copy("A2", box="B9")) == ["A2"]
    assert order(copy("A1", CopyState.UNPACKED), copy("A2", box="B9"), box=None) == ["A2"], "no box is open"


def test_a_book_held_up_twice_is_likelier_than_a_copy_that_is_listed_in_another_box() -> None:
    again, listed = candidates(copy("A1", CopyState.UNPACKED), copy("A2", box="B9"))
    assert (again.verdict, again.reasons) == (
        MatchVerdict.SECOND_COPY, (Reason(ReasonKind.SEEN_HERE, copy="A1"),),
    )  # fmt: skip
    assert (listed.copy, listed.verdict) == (copy("A2", box="B9"), MatchVerdict.ELSEWHERE)
    # A copy that is awaited from this box is likelier than either.
    assert order(copy("A1", CopyState.SHELVED), copy("A2", box="B9"), copy("A3")) == ["A3", "A1", "A2"]
    assert order(copy("A1", CopyState.SHELVED), copy("A3", CopyState.MISSING)) == ["A3", "A1"]


def test_when_all_were_seen_it_is_the_one_from_this_box_again_or_one_more_or_one_from_elsewhere() -> None:
    seen = (copy("A1", CopyState.SHELVED, "B2"), copy("A2", CopyState.UNPACKED))
    again, more, other = candidates(*seen)
    assert [again.copy, more.copy, other.copy] == [seen[1], None, seen[0]]
    assert {again.verdict, more.verdict, other.verdict} == {MatchVerdict.SECOND_COPY}
    assert again.reasons == (Reason(ReasonKind.SEEN_HERE, copy="A2"),)
    assert more.reasons == (Reason(ReasonKind.ALL_SEEN, count=2),)
    assert other.reasons == (Reason(ReasonKind.SEEN_ELSEWHERE, copy="A1", state=CopyState.SHELVED, box="B2"),)
    assert again.strength > more.strength > other.strength > 0
    assert order(*seen, box=None) == [None, "A1", "A2"], "from no box: neither is likelier"
    assert order(copy("A1", CopyState.SHELVED, None), box=None)[0] is None


def test_an_edition_without_copies_is_one_candidate() -> None:
    (found,) = candidates(copy("A1", edition=2))
    assert (found.edition, found.copy, found.verdict, kinds(found)) == (
        GULLS, None, MatchVerdict.UNLISTED, [ReasonKind.UNLISTED],
    )  # fmt: skip
    assert 0 < found.strength < candidates(copy("A1", box="B2"))[0].strength


def test_copies_that_a_wrapped_book_does_not_tell_apart_are_one_candidate() -> None:
    (found,) = candidates(copy("A3"), replace(copy("A2"), shelfmark="A 1"), copy("A4"))
    assert found.copy is not None
    assert (found.copy.accession, found.reasons[1:]) == ("A2", (Reason(ReasonKind.ALIKE, count=3),))
    assert kinds(candidates(copy("A3"))[0]) == [ReasonKind.LISTED_HERE], "one alone is alike nothing"


@pytest.mark.parametrize("difference", [{"box": "B2"}, {"grade": Grade.FINE}, {"wrapped": True}, {"note": "signed"}])
def test_what_a_person_can_see_or_know_tells_copies_apart(difference: dict[str, object]) -> None:
    other = replace(copy("A2"), **difference)  # type: ignore[arg-type] # fields by name
    assert [[one.accession for one in group] for group in alike_groups([copy("A1"), other, copy("A3")])] == [
        ["A1", "A3"], ["A2"],
    ]  # fmt: skip
