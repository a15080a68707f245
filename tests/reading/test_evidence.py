"""Evidence as it comes in: what is counted, what a region still needs, and what stands beside a symbol."""

from intake.model.readings import Point
from intake.reading.decoders import Decoded
from intake.reading.evidence import Evidence
from intake.reading.fuse import ProfileEvidence, SupplementEvidence
from intake.reading.symbol_forms import SymbolForm
from intake.reading.vote import Vote

BOOK, OTHER = "9780306406157", "9780110002224"


def box(x: float = 0, y: float = 0, width: float = 200, height: float = 120) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def vote(
    decoder: str, number: str = BOOK, *, at: tuple[Point, ...] = box(), add_on: str | None = None, version: str = "v"
) -> Vote:
    return Vote(Decoded(number, SymbolForm.LONG, at, decoder, add_on), version, "cut")


def agreed(at: tuple[Point, ...] = box()) -> Evidence:
    evidence = Evidence(2)
    evidence.add([vote("zxing", at=at), vote("zbar", at=at)])
    return evidence


def test_votes_are_counted_unless_they_contradict_what_is_accepted_there() -> None:
    evidence = agreed()
    assert [one.number for one in evidence.accepted()] == [BOOK]
    assert evidence.add([vote("zbar", OTHER)]) == 0
    assert evidence.add([vote("zbar", version="w")]) == 1
    assert evidence.add([vote("zbar", OTHER, at=box(0, 400))]) == 1
    assert [one.number for one in evidence.doubtful()] == [OTHER]
    assert len(evidence.votes) == 4


def test_profiles_and_supplements_change_what_is_read() -> None:
    evidence = Evidence(2)
    evidence.add([vote("zxing")])
    assert evidence.accepted() == []
    evidence.add_profile(None)
    evidence.add_supplement(None)
    assert (evidence.profiles, evidence.supplements) == ([], [])
    evidence.add_profile(ProfileEvidence((BOOK,), 1e-6, box(), ("grey",)))
    assert [one.number for one in evidence.accepted()] == [BOOK]
    evidence.add_supplement(SupplementEvidence(BOOK, box(), "51299", 1e-6))
    assert evidence.readings()[0].add_on == "51299"


def test_only_votes_from_the_symbol_itself_count_for_its_supplement() -> None:
    # The other copy of the book was read with another issue's supplement: it neither helps nor hurts here.
    evidence = agreed()
    evidence.add([vote(name, at=box(0, 400), add_on="51399", version=v) for name in ("zxing", "zbar") for v in "ab"])
    evidence.add_supplement(SupplementEvidence(BOOK, box(), "51299", 1e-5))
    by_place = {one.corners[0][1]: one.add_on for one in evidence.readings()}
    assert by_place == {0: "51299", 400: "51399"}
    # A decoder's vote at the place itself is added to what the profile says.
    helped = agreed()
    helped.add([vote("zxing", add_on="51299", version="w")])
    helped.add_supplement(SupplementEvidence(BOOK, box(), "51299", 1e-3))
    assert helped.readings()[0].add_on == "51299"
    assert [one.number for one in helped.readings()] == [BOOK]


def test_what_a_region_holds() -> None:
    evidence = agreed()
    assert evidence.has_accepted(BOOK, box(-10, -10, 220, 140))
    assert not evidence.has_accepted(OTHER, box(-10, -10, 220, 140))
    assert not evidence.has_accepted(BOOK, box(300, 300))
    assert evidence.has_votes_in(box(-10, -10, 220, 140))
    assert not evidence.has_votes_in(box(300, 300))
    assert not Evidence(2).has_votes_in(box())


def test_what_explains_a_region() -> None:
    evidence = agreed()
    # The symbol is 200 x 120 and explains a region round its middle of which it covers more than a quarter: 24,000 of
    # 90,000, not of 102,000. A region whose middle lies in it, or in its supplement, it explains whatever their sizes.
    assert evidence.explains(box(-180, -60, 300, 300))
    assert not evidence.explains(box(-220, -60, 340, 300))
    assert evidence.explains(box(-200, -110, 600, 340))
    assert evidence.explains(box(220, 20, 90, 80))
    assert not evidence.explains(box(300, 20, 90, 80))
    assert not evidence.explains(box(0, 300))
    spoilt = Evidence(2)
    spoilt.add_profile(ProfileEvidence((), 1.0, box(), ("grey",)))
    assert spoilt.explains(box(-10, -10, 220, 140))
    assert not spoilt.explains(box(300, 300))
    named = Evidence(2)
    named.add_profile(ProfileEvidence((BOOK,), 0.5, box(), ("grey",)))
    assert not named.explains(box(-10, -10, 220, 140))


def test_of_two_cuts_of_the_same_bars_the_surer_counts_and_their_evidence_does_not_add_up() -> None:
    evidence = Evidence(2)
    evidence.add_profile(ProfileEvidence((BOOK,), 1e-3, box(), ("grey",)))
    evidence.add_surer_profile(ProfileEvidence((BOOK,), 1e-2, box(5), ("grey",)))
    assert [each.error for each in evidence.profiles] == [1e-3]
    evidence.add_surer_profile(ProfileEvidence((BOOK,), 1e-4, box(5), ("grey",)))
    assert [each.error for each in evidence.profiles] == [1e-4]
    assert not evidence.accepted()
    evidence.add_surer_profile(ProfileEvidence((OTHER,), 1e-7, box(0, 400), ("grey",)))
    assert [each.number for each in evidence.accepted()] == [OTHER]
