"""From the results of decoders on versions of a picture to readings, each accepted or not.

**The agreement rule.** Each decoder has one vote in each version of the picture for the number it read at a place. A
number's lead is its votes less twice the votes of its strongest rival, another number read at the same place. The lead
counts in full where both decoders voted for the number, because a single decoder repeats its own mistakes: it counts
half where only one decoder is installed, and a third where two are and only one read the number. A number whose lead
counts 2 is accepted: two decoders that agree, or four votes of the only decoder, without a rival. The votes of the only
decoder must come from more than one cut of the picture: a badly placed crop gives the same misread in all its versions.
One of two decoders is never sufficient by itself, because from a scratched or half covered symbol it makes up the same
number again and again: its lead counts at most `SHY`, and edges or grey profile must confirm it
(`intake.reading.fuse`).

An accepted number stays accepted: later votes against it are not counted (`intake.reading.evidence`).

Two kinds of symbol are weighted differently:

- a short symbol (EAN-8, UPC-E) is often misread from longer symbols and texture: its lead counts a third, a fifth where
  only one decoder read it, and nothing where a long symbol was read at the place; as the rival of a long symbol it
  counts a third;
- one of the project's own numbers has check digits (1 in 97) in addition to those of the symbol (modulo 103 in Code
  128, Reed-Solomon in QR): its lead counts double, so that one vote without a rival is sufficient.

Why not less: on real, blurred photographs two decoders sometimes give the *same* wrong number with a right check digit,
and one decoder gives the same wrong number in many versions; in the end the printed number had more than twice as many
votes. With the order of all versions drawn at random, 20 times over 187 photographs, this rule accepted one wrong
number; with half weight for a single decoder although the other saw nothing, it accepted eleven.

A number that is not accepted is still reported, with its score and its strongest rival, so that a person can decide.
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
        cut: which part of the picture was cut out; a misread of one cut recurs in all its versions.
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
        """The tallest outline of typical width: decoders report a few rows of a symbol as often as all of them."""
        sure = [vote for vote in self.votes if vote.symbol.ends_known] or list(self.votes)
        usual = float(np.median([width_of(vote.symbol.corners) for vote in sure]))
        outlines = [vote.symbol.corners for vote in sure if abs(width_of(vote.symbol.corners) - usual) <= 0.1 * usual]
        return max(outlines or [sure[0].symbol.corners], key=height_of)

    @property
    def cuts(self) -> int:
        """The number of cuts of the picture in which it was read."""
        return len({vote.cut for vote in self.votes})

    def ballots(self) -> set[tuple[str, str]]:
        """Return (decoder, version) of each vote; a decoder has one vote for a version, however many crops it read."""
        return {(vote.symbol.decoder, vote.version) for vote in self.votes}


def group_votes(votes: Iterable[Vote]) -> tuple[VotedPlace, ...]:
    """Group votes by number and place."""
    gathered: list[list[Vote]] = []
    for vote in votes:
        for group in gathered:
            if vote.symbol.number == group[0].symbol.number and is_same_symbol(vote.symbol, group[0].symbol):
                group.append(vote)
                break
        else:
            gathered.append([vote])
    return tuple(VotedPlace(tuple(group)) for group in gathered)


def is_same_symbol(symbol: Decoded, other: Decoded) -> bool:
    """Return whether two results with the same number are one symbol, not two copies of it.

    A book symbol is 0.73 as tall as wide, so that the centres of any two parts of it are within three quarters of its
    width.
    """
    reach = 0.75 * max(width_of(symbol.corners), width_of(other.corners), 1.0)
    return math.dist(centre_of(symbol.corners), centre_of(other.corners)) < reach


def overlap(outline: Sequence[Point], other: Sequence[Point]) -> bool:
    """Return whether two outlines cover the same bars; each is taken to be at least a fifth as tall as wide."""
    wide, slim = (outline, other) if width_of(outline) >= width_of(other) else (other, outline)
    ahead = np.subtract(wide[1], wide[0])
    length = float(np.hypot(*ahead))
    if length < 1:
        return math.dist(centre_of(outline), centre_of(other)) < 1
    unit = ahead / length
    offset = np.subtract(centre_of(slim), centre_of(wide))
    heights = [max(height_of(corners), 0.2 * width_of(corners)) for corners in (outline, other)]
    beside = abs(float(offset @ unit)) < 0.45 * (width_of(outline) + width_of(other))
    return beside and abs(float(offset @ np.array([-unit[1], unit[0]]))) < 0.5 * sum(heights)


def count_votes(votes: Iterable[Vote], asked: int) -> tuple[Reading, ...]:
    """Return the readings that votes support by the agreement rule, best first; of rivals at one place only the best.

    Args:
        votes: every vote of every version, corners in pixels of the picture.
        asked: number of decoders in use.
    """
    places = group_votes(votes)
    contested = [(place, [other for other in places if are_rivals(place, other)]) for place in places]
    contested.sort(key=lambda pair: (-lead(*pair), -len(pair[0].ballots()), pair[0].number))
    readings: list[Reading] = []
    for place, against in contested:
        if any(overlap(place.corners, reading.corners) for reading in readings):
            continue
        readings.append(reading_of(place, against, asked))
    return tuple(readings)


def are_rivals(place: VotedPlace, other: VotedPlace) -> bool:
    """Return whether two places have different numbers for the same bars."""
    return place.number != other.number and overlap(place.corners, other.corners)


def rival_strength(place: VotedPlace, rival: VotedPlace) -> float:
    """Return how much the votes of a rival count against a place."""
    unlikely = rival.form is SymbolForm.SHORT and place.form is SymbolForm.LONG
    return 2 * len(rival.ballots()) * (SHORT if unlikely else 1)


def lead(place: VotedPlace, against: Sequence[VotedPlace]) -> float:
    """Return a number's votes less twice those of its strongest rival."""
    return len(place.ballots()) - max((rival_strength(place, rival) for rival in against), default=0)


def vote_weight(place: VotedPlace, against: Sequence[VotedPlace], asked: int) -> float:
    """Return the weight of each vote of the lead, by the agreement rule."""
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
    """Return the reading of one place.

    The score is 1 - 10^-lead, because one misread in ten passes the check digit.
    """
    rival = max(against, key=lambda other: rival_strength(place, other), default=None)
    counted = max(lead(place, against), 0) * vote_weight(place, against, asked)
    if place.form is not SymbolForm.OWN and len(place.decoders) == 1:
        counted = min(counted, ENOUGH / 2 if place.cuts == 1 else SHY if asked > 1 else math.inf)
    return Reading(
        number=place.number,
        kind=kind_of(place.number),
        accepted=counted >= ENOUGH,
        score=round(1 - 10.0**-counted, 4),
        methods=place.decoders,
        add_on=agreed_add_on(place),
        runner_up=rival.number if rival else None,
        corners=place.corners,
    )


def agreed_add_on(place: VotedPlace) -> str | None:
    """Return the supplement that has enough votes, else None."""
    return agreed_text(add_on_votes(place))


def agreed_text(counts: Mapping[str, float]) -> str | None:
    """Return the text whose votes exceed twice any other's by `ENOUGH`, else None.

    The bound is the same as for numbers, because a wrong supplement is the number of a wrong issue.
    """
    if not counts:
        return None
    text = max(counts, key=lambda candidate: counts[candidate])
    others = max((count for other, count in counts.items() if other != text), default=0)
    return text if counts[text] - 2 * others >= ENOUGH else None


def add_on_votes(place: VotedPlace) -> Counter[str]:
    """Return the votes for each supplement: one for each decoder and version that read it."""
    seen = {(vote.symbol.add_on, vote.symbol.decoder, vote.version) for vote in place.votes if vote.symbol.add_on}
    return Counter(text for text, _, _ in seen if text)
