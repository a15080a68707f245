"""Which of many covers a picture may show: an inverted file over the words of their features.

Every feature of the picture votes for the covers that have a feature of the same word and a signature within
`FARTHEST_BITS`; a vote weighs the more, the closer the signatures and the rarer the word. That a cover has many
features is set off. Nothing is proved here: `same_cover` does that for the covers listed.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from intake.covers.cover_features import CoverFeatures
from intake.covers.visual_words import Vocabulary

ASKED = 500
"""Features of the picture that vote, the strongest."""
NEAREST_WORDS = 3
"""A feature of the picture votes under so many words: blur moves it over the border of one."""
FARTHEST_BITS = 20
BITS_OF_WEIGHT = 10.0
ONES = np.array([value.bit_count() for value in range(1 << 16)], np.uint8)
"""How many bits of a number of 16 are set."""


@dataclass(frozen=True, slots=True, eq=False)
class CoverIndex:
    """The features of all covers, in the order of their words.

    Attributes:
        vocabulary: the words.
        starts: int64, words + 1: where each word's features begin.
        signatures: uint64, one a feature.
        covers: int32, the cover that a feature is of.
        lengths: int32, the features of each cover.
    """

    vocabulary: Vocabulary
    starts: npt.NDArray[np.int64]
    signatures: npt.NDArray[np.uint64]
    covers: npt.NDArray[np.int32]
    lengths: npt.NDArray[np.int32]

    def shortlist(self, picture: CoverFeatures, most: int = 50) -> list[tuple[int, float]]:
        """Return the covers that the picture is likest to, best first, with what speaks for each (above 0)."""
        scores = self.scores(picture.descriptions[:ASKED])
        most = min(most, len(scores))
        best = np.argpartition(-scores, most - 1)[:most] if most else np.zeros(0, np.intp)
        best = best[np.argsort(-scores[best], kind="stable")]
        return [(int(cover), float(scores[cover])) for cover in best if scores[cover] > 0]

    def scores(self, descriptions: npt.NDArray[np.uint8]) -> npt.NDArray[np.float64]:
        """Return what speaks for each cover."""
        total = np.zeros(len(self.lengths))
        if not len(descriptions) or not len(self.signatures):
            return total
        words = self.vocabulary.words_of(descriptions, NEAREST_WORDS)
        asked = self.vocabulary.signatures(descriptions, words)
        rarity = np.log((len(self.signatures) + 1.0) / (np.diff(self.starts) + 1.0))
        for ours, sought in zip(words, asked, strict=True):
            covers, weights = self.votes(ours, sought, rarity)
            total[covers] += weights
        return np.asarray(total / np.sqrt(np.maximum(self.lengths, 1)))

    def votes(
        self, words: npt.NDArray[np.intp], sought: npt.NDArray[np.uint64], rarity: npt.NDArray[np.float64]
    ) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.float64]]:
        """Return the covers that one feature of the picture votes for, each once, and the weights of its votes."""
        covers, weights = [], []
        for word, signature in zip(words, sought, strict=True):
            part = slice(self.starts[word], self.starts[word + 1])
            bits = differing_bits(self.signatures[part], signature)
            near = bits <= FARTHEST_BITS
            covers.append(self.covers[part][near])
            weights.append(rarity[word] ** 2 * np.exp(-((bits[near] / BITS_OF_WEIGHT) ** 2)))
        voted, weight = np.concatenate(covers), np.concatenate(weights)
        order = np.argsort(voted, kind="stable")
        once, first = np.unique(voted[order], return_index=True)
        return once, np.maximum.reduceat(weight[order], first) if len(first) else weight


def differing_bits(signatures: npt.NDArray[np.uint64], other: np.uint64) -> npt.NDArray[np.uint8]:
    """Return in how many bits each signature differs from another.

    >>> differing_bits(np.array([0, 5], np.uint64), np.uint64(4)).tolist()
    [1, 1]
    """
    parts = ONES[(signatures ^ other).view(np.uint16).reshape(-1, 4)]
    return np.asarray(parts[:, 0] + parts[:, 1] + parts[:, 2] + parts[:, 3])
