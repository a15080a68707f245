"""From what decoders said of versions of a picture to readings that may be booked, or may not.

**The agreement rule.** Each decoder has one vote in each version of the picture for the number it read at a place. A
number's lead is its votes less twice the votes of its strongest rival, another number read at the same place. The lead
counts in full where both decoders voted for the number, since one alone repeats its own mistakes: it counts by half
where there is but one, and by a third where there are two and the other did not see it. A number whose lead counts 2 is
accepted: two decoders that agree, or four votes of the only one there is, and no rival. The only one's votes must come
from more than one cut of the picture: a crop that is cut badly gives the same misread in all its versions. One of two
that stands alone is never enough, since of a scratched or half covered symbol it makes up the same number again and
again: its lead counts `SHY` at most, and edges or grey profile must say the same (`intake.reading.fuse`).

What is accepted stays so: later votes against it are not counted (`intake.reading.evidence`).

Two kinds of symbol have a measure of their own:

- a short one (EAN-8, UPC-E) is read by mistake out of longer symbols and texture: its lead counts by a third, by
  a fifth where one decoder stands alone, and not at all where a long symbol was read at the place; as the rival of a
  long symbol it is a third as strong;
- one of the project's own numbers carries check digits (1 in 97) on top of the symbol's own (modulo 103 in Code 128,
  Reed-Solomon in QR): its lead counts double, so that one vote without a rival is enough.

Why not less: of real, blurred photographs two decoders now and then give the *same* wrong number with a right check
digit, and one decoder gives the same wrong number in many versions; the number that is printed had more than twice as
many votes in the end. With the order of all versions drawn at random, 20 times over 187 photographs, this rule accepted
one wrong number; counting a lone decoder by half although the other saw nothing, it was eleven.

A number that is not accepted is still reported, with its score and its strongest rival: the person is asked.
"""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from intake.model.readings import Point, Reading
from intake.reading.decoders import Decoded
from intake.reading.geometry import centre_of, height_of, width_of
from intake.reading.symbol_forms import SymbolForm, kind_of

ENOUGH = 2.0
"""The weighted lead from which a number, or a supplement, is accepted."""
SHY = 1.5
ALONE = 1 / 2
UNSEEN = 1 / 3
SHORT = 1 / 3
SHORT_ALONE = 1 / 5
OWN = 2.0


@dataclass(frozen=True, slots=True)
class Vote:
    """One symbol read by one decoder in one version.

    Attributes:
        symbol: its corners in pixels of the picture.
        version: how the picture was cleaned and scaled.
        cut: what was cut out of the picture; mistakes of one cut repeat themselves in all its versions.
    """

    symbol: Decoded
    version: str
    cut: str


@dataclass(frozen=True, slots=True)
class VotedPlace:
    """All votes for one number at one place."""

    votes: tuple[Vote, ...]

    @property
    def number(self) -> str:
        """The number voted for."""
        return self.votes[0].symbol.number

    @property
    def form(self) -> SymbolForm:
        """The form of the symbol it was read from."""
        return self.votes[0].symbol.form

    @property
    def decoders(self) -> tuple[str, ...]:
        """The decoders that voted, most votes first."""
        return tuple(
            name for name, _ in Counter(name for name, _ in sorted(self.ballots(), reverse=True)).most_common()
        )

    @property
    def corners(self) -> tuple[Point, ...]:
        """The tallest of the usual outlines: decoders see few rows of a symbol as often as all of them."""
        sure = [vote for vote in self.votes if vote.symbol.ends_known] or list(self.votes)
        usual = float(np.median([width_of(vote.symbol.corners) for vote in sure]))
        outlines = [vote.symbol.corners for vote in sure if abs(width_of(vote.symbol.corners) - usual) <= 0.1 * usual]
        return max(outlines or [sure[0].symbol.corners], key=height_of)

    @property
    def cuts(self) -> int:
        """In how many cuts of the picture it was read."""
        return len({vote.cut for vote in self.votes})

    def ballots(self) -> set[tuple[str, str]]:
        """Return who voted in which version; a decoder has one vote in a version, however many crops it saw."""
        return {(vote.symbol.decoder, vote.version) for vote in self.votes}


def places(votes: Iterable[Vote]) -> tuple[VotedPlace, ...]:
    """Gather the votes for one number at one place."""
    gathered: list[list[Vote]] = []
    for vote in votes:
        for group in gathered:
            if vote.symbol.number == group[0].symbol.number and near(vote.symbol, group[0].symbol):
                group.append(vote)
                break
        else:
            gathered.append([vote])
    return tuple(VotedPlace(tuple(group)) for group in gathered)


def near(one: Decoded, other: Decoded) -> bool:
    """Tell whether two reads of one number are of one symbol and not of two copies of it.

    A book symbol is 0.73 as tall as wide, so that the centres of any two parts of it are closer than three quarters.
    """
    reach = 0.75 * max(width_of(one.corners), width_of(other.corners), 1.0)
    return math.dist(centre_of(one.corners), centre_of(other.corners)) < reach


def overlap(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Tell whether two outlines claim the same bars; a thin one stands for at least a fifth of its width."""
    wide, slim = (one, other) if width_of(one) >= width_of(other) else (other, one)
    ahead = np.subtract(wide[1], wide[0])
    length = float(np.hypot(*ahead))
    if length < 1:
        return math.dist(centre_of(one), centre_of(other)) < 1
    unit = ahead / length
    offset = np.subtract(centre_of(slim), centre_of(wide))
    heights = [max(height_of(each), 0.2 * width_of(each)) for each in (one, other)]
    beside = abs(float(offset @ unit)) < 0.45 * (width_of(one) + width_of(other))
    return beside and abs(float(offset @ np.array([-unit[1], unit[0]]))) < 0.5 * sum(heights)


def readings(votes: Iterable[Vote], asked: int) -> tuple[Reading, ...]:
    """Turn votes into readings by the agreement rule, best first; of rivals at one place only the best is reported.

    Args:
        votes: every vote of every version, corners in pixels of the picture.
        asked: how many decoders were asked.
    """
    gathered = places(votes)
    judged = [(place, [other for other in gathered if rivals(place, other)]) for place in gathered]
    judged.sort(key=lambda each: (-lead(*each), -len(each[0].ballots()), each[0].number))
    kept: list[Reading] = []
    for place, against in judged:
        if any(overlap(place.corners, reading.corners) for reading in kept):
            continue
        kept.append(reading_of(place, against, asked))
    return tuple(kept)


def rivals(place: VotedPlace, other: VotedPlace) -> bool:
    """Tell whether the other place claims the same bars for another number."""
    return place.number != other.number and overlap(place.corners, other.corners)


def strength(place: VotedPlace, rival: VotedPlace) -> float:
    """Return what a rival's votes count against a place."""
    unlikely = rival.form is SymbolForm.SHORT and place.form is SymbolForm.LONG
    return 2 * len(rival.ballots()) * (SHORT if unlikely else 1)


def lead(place: VotedPlace, against: Sequence[VotedPlace]) -> float:
    """Return a number's votes less twice those of its strongest rival."""
    return len(place.ballots()) - max((strength(place, rival) for rival in against), default=0)


def weight(place: VotedPlace, against: Sequence[VotedPlace], asked: int) -> float:
    """Return how much a vote of the lead counts, by the agreement rule."""
    alone = len(place.decoders) == 1
    if place.form is SymbolForm.OWN:
        return OWN
    if place.form is SymbolForm.SHORT:
        disputed = any(other.form is SymbolForm.LONG for other in against)
        return 0.0 if disputed else SHORT_ALONE if alone else SHORT
    if alone:
        return ALONE if asked == 1 else UNSEEN
    return 1.0


def reading_of(place: VotedPlace, against: Sequence[VotedPlace], asked: int) -> Reading:
    """Say what is known of one place.

    The score is 1 less a tenth for each vote that the lead counts: a misread passes the check digit once in ten.
    """
    rival = max(against, key=lambda other: strength(place, other), default=None)
    counted = max(lead(place, against), 0) * weight(place, against, asked)
    if place.form is not SymbolForm.OWN and len(place.decoders) == 1:
        counted = min(counted, ENOUGH / 2 if place.cuts == 1 else SHY if asked > 1 else math.inf)
    return Reading(
        number=place.number,
        kind=kind_of(place.number),
        accepted=counted >= ENOUGH,
        score=round(1 - 10.0**-counted, 4),
        methods=place.decoders,
        add_on=add_on(place),
        runner_up=rival.number if rival else None,
        corners=place.corners,
    )


def add_on(place: VotedPlace) -> str | None:
    """Return the supplement that enough votes agree on, else None."""
    return agreed(add_on_votes(place))


def agreed(counts: Mapping[str, float]) -> str | None:
    """Return the text with two votes more than twice any other's, else None: a wrong supplement names a wrong issue."""
    if not counts:
        return None
    text = max(counts, key=lambda each: counts[each])
    others = max((count for other, count in counts.items() if other != text), default=0)
    return text if counts[text] - 2 * others >= ENOUGH else None


def add_on_votes(place: VotedPlace) -> Counter[str]:
    """Count who read which supplement in which version."""
    seen = {(vote.symbol.add_on, vote.symbol.decoder, vote.version) for vote in place.votes if vote.symbol.add_on}
    return Counter(text for text, _, _ in seen if text)
