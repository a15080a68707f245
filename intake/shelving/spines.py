"""Unlabelled spines told by their text: each spine's words against the titles that should be near, in their order.

A title is likely where its trigrams (letter triples) are found in the text of the spine; what else stands there, author
or publisher, counts little against it. The spines from the left are then aligned with the expected order as two
sequences are (Needleman and Wunsch, 1970), leaving out what is missing or has no match; a spine that is left may still
be one of the titles, out of its order. Every identification has a confidence; below `SURE` a person is asked.

Two volumes of a set that differ by a figure only are told by the order alone, and so are rarely sure.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from intake.model.editions import title_key
from intake.model.readings import TextLine
from intake.shelving.feasible import Floats

SURE = 0.6
LEAST = 0.35
"""Below this much of a title in the text it is no match at all."""
IN_ORDER = 0.15
"""What standing in the expected order is worth against a rival title."""
CLEAR = 0.3
"""A lead over the next best title from which it counts in full."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A copy that should be near, and the words that its spine may carry."""

    copy: str
    title: str
    contributors: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """What a spine is taken for.

    Attributes:
        text: all that was read on it.
        copy: None where no title is like it.
        confidence: 0 to 1; from `SURE` on nobody is asked.
        runner_up: the next best copy, if any is like it.
        in_order: it stands where the order has it.
    """

    text: str
    copy: str | None
    confidence: float
    runner_up: str | None = None
    in_order: bool = False

    @property
    def sure(self) -> bool:
        """Tell whether it may be taken without asking."""
        return self.copy is not None and self.confidence >= SURE


def best_lines(lines: Sequence[TextLine]) -> tuple[TextLine, ...]:
    """Keep of lines that were read more than once, in the picture turned this way and that, the one read best.

    >>> twice = [TextLine("Farn", (0, 0, 20, 90), 0.9), TextLine("uJe", (1, 2, 20, 88), 0.4)]
    >>> [line.text for line in best_lines(twice)]
    ['Farn']
    """
    kept: list[TextLine] = []
    for line in sorted(lines, key=lambda one: one.score * len(one.text), reverse=True):
        x, y = (line.box[0] + line.box[2]) / 2, (line.box[1] + line.box[3]) / 2
        if not any(one.box[0] <= x <= one.box[2] and one.box[1] <= y <= one.box[3] for one in kept):
            kept.append(line)
    return tuple(kept)


def spine_texts(lines: Sequence[TextLine]) -> tuple[str, ...]:
    """Join the lines of each spine, the spines from the left.

    Lines share a spine where the middle of one lies between the sides of the other; lines that run up the spine are
    narrow, so that neighbours do not.

    >>> spine_texts([TextLine("Moos", (50, 0, 70, 90)), TextLine("Farn", (0, 0, 20, 90))])
    ('Farn', 'Moos')
    """
    spines: list[list[TextLine]] = []
    for line in sorted(lines, key=lambda one: (one.box[0] + one.box[2]) / 2):
        last = spines[-1][-1].box if spines else None
        if last is not None and last[0] <= (line.box[0] + line.box[2]) / 2 <= last[2]:
            spines[-1].append(line)
        else:
            spines.append([line])
    return tuple(" ".join(line.text for line in sorted(spine, key=lambda one: one.box[1])) for spine in spines)


def likeness(text: str, expected: Expected) -> float:
    """Return how much of a title is in a text, 0 to 1; a little of it for the contributors.

    >>> round(likeness("MOOSE DES LICHTEN WALDES A. Farn", Expected("A1", "Moose des lichten Waldes")), 1)
    1.0
    """
    read = _trigrams(text)
    title, names = _trigrams(expected.title), _trigrams(expected.contributors)
    found = len(title & read) / len(title) if title else 0.0
    named = len(names & read) / len(names) if names else found
    return 0.85 * found + 0.15 * named


def tell(texts: Sequence[str], expected: Sequence[Expected]) -> tuple[Told, ...]:
    """Say what each spine is.

    Args:
        texts: of the spines from the left.
        expected: the copies that should be near, in their order.
    """
    scores = np.array([[likeness(text, one) for one in expected] for text in texts]).reshape(len(texts), len(expected))
    aligned = align(scores)
    taken = set(aligned.values())
    told = []
    for nth, text in enumerate(texts):
        if nth in aligned:
            told.append(_told(text, scores[nth], aligned[nth], expected, in_order=True))
            continue
        free = [index for index in range(len(expected)) if index not in taken]
        best = max(free, key=lambda index, row=scores[nth]: float(row[index]), default=None)  # type: ignore[misc] # bound here
        if best is None or scores[nth][best] < LEAST:
            told.append(Told(text, None, 0.0))
            continue
        taken.add(best)
        told.append(_told(text, scores[nth], best, expected, in_order=False))
    return tuple(told)


def align(scores: Floats) -> dict[int, int]:
    """Return the best alignment of rows with columns that crosses nowhere: each row's column, where it has one.

    >>> align(np.array([[0.9, 0.1, 0.1], [0.1, 0.1, 0.8]]))
    {0: 0, 1: 2}
    """
    rows, columns = scores.shape
    best = np.zeros((rows + 1, columns + 1))
    gain = np.where(scores >= LEAST, scores, -np.inf)
    for i in range(1, rows + 1):
        for j in range(1, columns + 1):
            best[i, j] = max(best[i - 1, j], best[i, j - 1], best[i - 1, j - 1] + gain[i - 1, j - 1])
    pairs: dict[int, int] = {}
    i, j = rows, columns
    while i and j:
        if best[i, j] == best[i - 1, j - 1] + gain[i - 1, j - 1]:
            i, j = i - 1, j - 1
            pairs[i] = j
        elif best[i, j] == best[i - 1, j]:
            i -= 1
        else:
            j -= 1
    return dict(sorted(pairs.items()))


def _told(text: str, row: Floats, chosen: int, expected: Sequence[Expected], *, in_order: bool) -> Told:
    others = [index for index in range(len(expected)) if index != chosen and row[index] >= LEAST]
    rival = max(others, key=lambda index: float(row[index]), default=None)
    lead = float(row[chosen]) - (float(row[rival]) if rival is not None else 0.0) + (IN_ORDER if in_order else 0.0)
    confidence = float(row[chosen]) * min(1.0, max(0.0, lead / CLEAR))
    return Told(text, expected[chosen].copy, confidence, expected[rival].copy if rival is not None else None, in_order)


def _trigrams(text: str) -> set[str]:
    """Return the letter triples of a text, folded, with the ends of words."""
    words = title_key(text.replace(":", " ").replace("(", " ").replace("[", " ")).split()
    return {f" {word} "[n : n + 3] for word in words for n in range(len(word))}
