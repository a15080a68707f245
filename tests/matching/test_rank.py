"""What a number in the hand may be. The rules are this project's own; the cases are those of unpacking."""

from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.matching.rank import rank
from intake.model.editions import Copy, CopyState, Edition, Grade
from intake.model.identifiers import Identifier, NumberKind
from intake.model.matches import Match, MatchVerdict
from intake.model.reasons import Reason, ReasonKind

BOOK = Edition(id=1, title="Invented coasts", number="9789999999991")
ISBN = Identifier(NumberKind.ISBN, "9789999999991", "978-99-99-99999-1")
SERIAL = Identifier(NumberKind.ISSN, "9771234567003", "1234-5679")


def copy(accession: str, edition: int = 1, state: CopyState = CopyState.PACKED, box: str | None = "B1") -> Copy:
    return Copy(accession=accession, edition_id=edition, state=state, box=box)


def match(
    *copies: Copy,
    editions: Sequence[Edition] = (BOOK,),
    siblings: Sequence[Edition] = (),
    box: str | None = "B1",
    identifier: Identifier = ISBN,
) -> Match:
    return rank(identifier, editions=editions, siblings=siblings, copies=copies, box=box)


def accessions(found: Match) -> list[str | None]:
    return [candidate.copy.accession if candidate.copy else None for candidate in found.candidates]


def test_listed_in_this_box_is_booked() -> None:
    found = match(copy("A2"), copy("A1", box="B2"))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.EXPECTED, True, ["A2", "A1"])
    assert found.candidates[0].reasons == (Reason(ReasonKind.LISTED_HERE),)
    assert found.candidates[1].reasons == (Reason(ReasonKind.LISTED_ELSEWHERE, state=CopyState.PACKED, box="B2"),)


def test_listed_in_another_box_is_asked() -> None:
    found = match(copy("A1", box="B2"))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.ELSEWHERE, False, ["A1"])
    found = match(copy("A1", state=CopyState.AT_HAND, box=None))
    assert (found.verdict, found.certain) == (MatchVerdict.ELSEWHERE, False)
    assert found.candidates[0].reasons == (Reason(ReasonKind.LISTED_ELSEWHERE, state=CopyState.AT_HAND),)


def test_two_alike_in_one_box_are_booked_lowest_first() -> None:
    found = match(copy("A3"), replace(copy("A2"), shelfmark="ART 2"))
    assert (found.certain, accessions(found)) == (True, ["A2"])
    assert Reason(ReasonKind.ALIKE, count=2) in found.candidates[0].reasons


@pytest.mark.parametrize(
    "difference", [{"printing_id": 2}, {"has_jacket": True}, {"grade": Grade.FAIR}, {"note": "signed"}]
)
def test_two_that_differ_in_one_box_are_asked(difference: dict[str, Any]) -> None:
    found = match(copy("A2"), replace(copy("A3"), **difference))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.EXPECTED, False, ["A2", "A3"])


def test_without_an_open_box_one_unseen_copy_is_booked_and_two_boxes_are_asked() -> None:
    assert match(copy("A1"), box=None).certain
    assert match(copy("A1"), copy("A2"), box=None).certain
    assert not match(copy("A1"), copy("A2", box="B2"), box=None).certain
    assert not match(copy("A1"), copy("A2", state=CopyState.SHELVED), box=None).certain, (
        "it may be the one on the shelf"
    )
    assert match(copy("A1", state=CopyState.AT_HAND, box=None), box=None).certain


def test_a_copy_recorded_as_missing_turns_up_and_is_asked() -> None:
    """A claim may have been made for it."""
    found = match(copy("A1", state=CopyState.MISSING))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.EXPECTED, False, ["A1"])
    assert found.candidates[0].reasons == (Reason(ReasonKind.TURNED_UP),)
    assert not match(copy("A1", state=CopyState.MISSING), box=None).certain
    both = match(copy("A1", state=CopyState.MISSING), copy("A2"))
    assert accessions(both) == ["A2", "A1"]


def test_every_copy_seen_already() -> None:
    found = match(copy("A1", state=CopyState.UNPACKED), copy("A2", state=CopyState.SHELVED, box="B2"))
    assert (found.verdict, found.certain) == (MatchVerdict.SECOND_COPY, False)
    assert accessions(found) == ["A1", None, "A2"], "the one out of this box first: it may be held up twice"


def test_in_the_catalog_without_a_copy() -> None:
    found = match()
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.UNLISTED, False, [None])


def test_another_edition_of_the_title_is_recorded() -> None:
    second = replace(BOOK, id=2, number="9789999999984", statement="2nd edition", year=2004)
    found = match(copy("A1", edition=2), siblings=[second])
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.OTHER_EDITION, False, [None, "A1"])
    assert [candidate.edition.id for candidate in found.candidates] == [1, 2]
    assert found.candidates[0].reasons == (Reason(ReasonKind.OTHER_EDITION_RECORDED),)
    told = ("2nd edition", "2004", "9789999999984")
    other = Reason(ReasonKind.COPY_OF_OTHER_EDITION, copy="A1", box="B1", state=CopyState.PACKED, texts=told)
    assert found.candidates[1].reasons == (other,)
    expected = match(copy("A1", edition=2), copy("A2"), siblings=[second])
    assert (expected.verdict, expected.certain, accessions(expected)) == (MatchVerdict.EXPECTED, True, ["A2"])


def test_a_number_nobody_carries() -> None:
    found = match(editions=[])
    assert (found.verdict, found.certain, found.candidates) == (MatchVerdict.UNKNOWN, False, ())


def test_a_number_that_a_publisher_used_twice_is_asked() -> None:
    other = Edition(id=2, title="Invented marshes", number=BOOK.number)
    found = match(copy("A1", edition=2), copy("A2", box="B9"), editions=[BOOK, other])
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.EXPECTED, False, ["A1", "A2"])
    assert all(Reason(ReasonKind.SHARED_NUMBER, count=2) in candidate.reasons for candidate in found.candidates)


ISSUES = [
    Edition(id=nth, title=f"Invented quarterly {nth}", number=SERIAL.number, add_on=f"0{nth}") for nth in (1, 2, 3)
]


def test_number_and_add_on_pick_the_issue() -> None:
    found = match(copy("A1", 1), copy("A2", 2), editions=ISSUES[1:2], identifier=replace(SERIAL, add_on="02"))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.EXPECTED, True, ["A2"])
    unpicked = match(copy("A1", 1), copy("A2", 2), editions=ISSUES, identifier=replace(SERIAL, add_on="02"))
    assert (unpicked.candidates[0].edition.id, unpicked.candidates[0].copy) == (2, copy("A2", 2))


def test_a_serial_without_its_add_on_lists_all_issues() -> None:
    found = match(copy("A1", 1), copy("A2", 2), copy("A3", 3), editions=ISSUES, identifier=SERIAL)
    assert (found.certain, accessions(found)) == (False, ["A1", "A2", "A3"])
    one = match(copy("A1", 1), editions=ISSUES[:1], identifier=SERIAL)
    assert (one.verdict, one.certain) == (MatchVerdict.EXPECTED, False), "it may be another issue"


def test_an_issue_that_is_not_in_the_catalog_is_unknown() -> None:
    found = match(copy("A1", 1), copy("A2", 2), editions=ISSUES[:2], identifier=replace(SERIAL, add_on="07"))
    assert (found.verdict, found.certain, accessions(found)) == (MatchVerdict.UNKNOWN, False, ["A1", "A2"])
    assert found.candidates[0].reasons[0] == Reason(ReasonKind.ADD_ON_OTHER_ISSUE, add_on="01", number="07")


def test_the_price_beside_an_isbn_does_not_matter() -> None:
    """EAN-5 of the US book trade: 5 and the price in dollars and cents."""
    assert match(copy("A1"), identifier=replace(ISBN, add_on="52995")).certain


states = st.sampled_from(list(CopyState))
copies = st.lists(
    st.builds(
        Copy,
        accession=st.integers(1, 50).map(lambda nth: f"A{nth}"),
        edition_id=st.integers(1, 4),
        state=states,
        box=st.sampled_from([None, "B1", "B2"]),
        wrapped=st.booleans(),
    ),
    max_size=6,
    unique_by=lambda copy: copy.accession,
)


@given(copies, st.integers(0, 3), st.sampled_from([None, "B1", "B2"]), st.randoms())
def test_what_always_holds(drawn: list[Copy], number: int, box: str | None, chance: Random) -> None:
    editions = [replace(BOOK, id=nth + 1) for nth in range(number)]
    found = match(*drawn, editions=editions, siblings=[replace(BOOK, id=4)], box=box)
    strengths = [candidate.strength for candidate in found.candidates]
    assert strengths == sorted(strengths, reverse=True)
    assert all(
        0 < strength <= 1 and candidate.reasons for strength, candidate in zip(strengths, found.candidates, strict=True)
    )
    assert found.verdict is (found.candidates[0].verdict if editions else MatchVerdict.UNKNOWN)
    if found.certain:
        best = found.candidates[0]
        assert number == 1
        assert best.copy is not None
        assert best.copy.state in (CopyState.PACKED, CopyState.AT_HAND)
        assert box is None or (best.copy.box, best.copy.state) == (box, CopyState.PACKED)
    shuffled = sorted(drawn, key=lambda _: chance.random())
    assert match(*shuffled, editions=editions, siblings=[replace(BOOK, id=4)], box=box) == found
