"""Invented serials drawn at random: runs of every kind, numbers never published, inserted parts, double numbers."""

import random
from fractions import Fraction

from intake.runs.parts import Parts, RunKey, union_of
from intake.runs.spans import Span, has, spans_of

RUNS: tuple[RunKey, ...] = (
    (), ("v",), ("v", 2, "no"), ("v", 11, "no"), ("ser", 3, "no"), ("", 1992, "no"), ("annual",), ("special",)
)  # fmt: skip


def random_serial(draw: random.Random) -> Parts:
    """Return the parts of a serial, whole volumes only where none has numbers."""
    chosen = draw.sample(RUNS, draw.randint(1, 4))
    if any(key[0] == "v" and len(key) > 1 for key in chosen if key):
        chosen = [key for key in chosen if key != ("v",)]
    return union_of(random_run(draw, key) for key in chosen)


def random_run(draw: random.Random, key: RunKey) -> Parts:
    """Return the parts of one run; two double numbers never touch each other's numbers."""
    starts = [(first := draw.randint(0, 60), first + draw.randint(0, 20)) for _ in range(draw.randint(1, 3))]
    spans = spans_of(starts)
    pieces: list[Span] = []
    for first in range(0, 80, 5):
        piece = (first, first + draw.randint(1, 3))
        if draw.random() < 0.2 and all(has(spans, number) for number in range(piece[0], piece[1] + 1)):
            pieces.append(piece)
    inserted = [Fraction(draw.randint(0, 400), draw.choice((2, 3, 7, 10))) for _ in range(draw.randint(0, 2))]
    fractions = frozenset(one for one in inserted if one.denominator > 1)
    return Parts({key: spans}, {key: fractions} if fractions else {}, {key: tuple(pieces)} if pieces else {})
