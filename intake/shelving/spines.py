"""Identifying unlabelled spines by their text: the words of each spine are compared with the expected titles, in order.

A title is likely if its trigrams (letter triples) occur in the text of the spine; other text, such as author or
publisher, counts little against it. The spines from the left are then aligned with the expected order by sequence
alignment (Needleman and Wunsch, 1970), skipping what is missing or has no match; a spine that is left may still be one
of the titles, out of order. Every identification has a confidence; below `SURE` a person is asked.

Two volumes of a set that differ only by a number are distinguished by the order alone, and so are rarely certain.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from intake.model.editions import title_key
from intake.model.readings import TextLine
from intake.shelving.feasible import Floats

SURE = 0.6
LEAST = 0.35
"""Least likeness of a title and a text that match."""
IN_ORDER = 0.15
"""Bonus over a rival title for being in the expected order."""
CLEAR = 0.3
"""Lead over the next best title at which the likeness counts in full."""


@dataclass(frozen=True, slots=True)
class ExpectedCopy:
    """A copy expected nearby, and the words that may be on its spine."""

    copy: str
    title: str
    contributors: str = ""


@dataclass(frozen=True, slots=True)
class SpineMatch:
    """The identification of a spine.

    Attributes:
        text: all text read on it.
        copy: None if no title matches.
        confidence: 0 to 1; below `SURE` a person is asked.
        runner_up: the next best copy, if any matches.
        in_order: whether it is in the expected order.
    """

    text: str
    copy: str | None
    confidence: float
    runner_up: str | None = None
    in_order: bool = False

    @property
    def sure(self) -> bool:
        """Whether it may be accepted without asking."""
        return self.copy is not None and self.confidence >= SURE


def best_lines(lines: Sequence[TextLine]) -> tuple[TextLine, ...]:
    """Return the best reading of each line that was read several times, in the picture and in rotated copies of it.

    >>> twice = [TextLine("Farn", (0, 0, 20, 90), 0.9), TextLine("uJe", (1, 2, 20, 88), 0.4)]
    >>> [line.text for line in best_lines(twice)]
    ['Farn']
    """
    best: list[TextLine] = []
    for line in sorted(lines, key=lambda other: other.score * len(other.text), reverse=True):
        x, y = (line.box[0] + line.box[2]) / 2, (line.box[1] + line.box[3]) / 2
        if not any(other.box[0] <= x <= other.box[2] and other.box[1] <= y <= other.box[3] for other in best):
            best.append(line)
    return tuple(best)


def spine_texts(lines: Sequence[TextLine]) -> tuple[str, ...]:
    """Return the text of each spine, from the left.

    Two lines are on one spine if the middle of one lies between the sides of the other; lines that run along a spine
    are narrow, so that those of neighbouring spines do not overlap.

    >>> spine_texts([TextLine("Moos", (50, 0, 70, 90)), TextLine("Farn", (0, 0, 20, 90))])
    ('Farn', 'Moos')
    """
    spines: list[list[TextLine]] = []
    for line in sorted(lines, key=lambda line: (line.box[0] + line.box[2]) / 2):
        last = spines[-1][-1].box if spines else None
        if last is not None and last[0] <= (line.box[0] + line.box[2]) / 2 <= last[2]:
            spines[-1].append(line)
        else:
            spines.append([line])
    return tuple(" ".join(line.text for line in sorted(spine, key=lambda line: line.box[1])) for spine in spines)


def title_likeness(text: str, expected: ExpectedCopy) -> float:
    """Return the share of a title's trigrams that are in a text, 0 to 1; the contributors' count 15 %.

    >>> round(title_likeness("MOOSE DES LICHTEN WALDES A. Farn", ExpectedCopy("A1", "Moose des lichten Waldes")), 1)
    1.0
    """
    read = _trigrams(text)
    title, names = _trigrams(expected.title), _trigrams(expected.contributors)
    title_share = len(title & read) / len(title) if title else 0.0
    name_share = len(names & read) / len(names) if names else title_share
    return 0.85 * title_share + 0.15 * name_share


def identify_spines(texts: Sequence[str], expected: Sequence[ExpectedCopy]) -> tuple[SpineMatch, ...]:
    """Identify each spine.

    Args:
        texts: of the spines from the left.
        expected: the copies expected nearby, in their order.
    """
    scores = np.array([[title_likeness(text, candidate) for candidate in expected] for text in texts]).reshape(
        len(texts), len(expected)
    )
    aligned = align(scores)
    taken = set(aligned.values())
    matches = []
    for nth, text in enumerate(texts):
        if nth in aligned:
            matches.append(_match(text, scores[nth], aligned[nth], expected, in_order=True))
            continue
        free = [index for index in range(len(expected)) if index not in taken]
        best = max(free, key=lambda index, row=scores[nth]: float(row[index]), default=None)  # type: ignore[misc] # bound here
        if best is None or scores[nth][best] < LEAST:
            matches.append(SpineMatch(text, None, 0.0))
            continue
        taken.add(best)
        matches.append(_match(text, scores[nth], best, expected, in_order=False))
    return tuple(matches)


def align(scores: Floats) -> dict[int, int]:
    """Return the best non-crossing alignment of rows with columns: the column of each row that has one.

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


def _match(text: str, row: Floats, chosen: int, expected: Sequence[ExpectedCopy], *, in_order: bool) -> SpineMatch:
    others = [index for index in range(len(expected)) if index != chosen and row[index] >= LEAST]
    rival = max(others, key=lambda index: float(row[index]), default=None)
    lead = float(row[chosen]) - (float(row[rival]) if rival is not None else 0.0) + (IN_ORDER if in_order else 0.0)
    confidence = float(row[chosen]) * min(1.0, max(0.0, lead / CLEAR))
    return SpineMatch(
        text, expected[chosen].copy, confidence, expected[rival].copy if rival is not None else None, in_order
    )


def _trigrams(text: str) -> set[str]:
    """Return the trigrams of the words of a text, folded, with a space before and after each word."""
    words = title_key(text.replace(":", " ").replace("(", " ").replace("[", " ")).split()
    return {f" {word} "[n : n + 3] for word in words for n in range(len(word))}
