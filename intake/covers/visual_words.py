"""A vocabulary of local features: each belongs to a word, and a signature of 64 bits tells it from others of its word.

Hamming embedding (Jégou, Douze and Schmid, Hamming Embedding and Weak Geometric Consistency for Large Scale Image
Search, 2008): the bits are the signs of 64 fixed directions beside the median of the word. The words are learned in
two steps, each splitting what the one before found, from the pictures that are indexed; the same pictures give the
same words.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from intake.covers.cover_features import LENGTH, unit_vectors

BITS = 64
ROUNDS = 8
LEARNED_FROM = 80_000
"""Features that the words are learned from at most; more change nothing."""
FEATURES_A_WORD = 20
MOST_BRANCHES = 64
SEED = 19

Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """The words.

    Attributes:
        centres: float32, words by 128.
        medians: float32, words by 64, of the projections of each word's features.
        directions: float32, 128 by 64, orthonormal.
    """

    centres: Floats
    medians: Floats
    directions: Floats

    def __len__(self) -> int:
        return len(self.centres)

    def words_of(self, descriptions: npt.NDArray[np.uint8], nearest: int = 1) -> npt.NDArray[np.intp]:
        """Return the nearest words of each feature, n by `nearest`."""
        likeness = unit_vectors(descriptions) @ self.centres.T - 0.5 * (self.centres**2).sum(axis=1)
        if nearest == 1:
            return np.asarray(likeness.argmax(axis=1)[:, None])
        nearest = min(nearest, len(self))
        return np.asarray(np.argpartition(-likeness, nearest - 1, axis=1)[:, :nearest])

    def signatures(self, descriptions: npt.NDArray[np.uint8], words: npt.NDArray[np.intp]) -> npt.NDArray[np.uint64]:
        """Return the signatures of features as members of words, one for each word, in the form of `words`."""
        projected = unit_vectors(descriptions) @ self.directions
        above = projected[:, None, :] > self.medians[words]
        return np.asarray(np.packbits(above, axis=2).view(np.uint64)[:, :, 0])


def learn(descriptions: npt.NDArray[np.uint8]) -> Vocabulary:
    """Learn a vocabulary from the features of the pictures to be indexed, at least one."""
    rng = np.random.default_rng(SEED)
    chosen = rng.permutation(len(descriptions))[:LEARNED_FROM]
    vectors = unit_vectors(descriptions[np.sort(chosen)])
    branches = int(np.clip(np.sqrt(len(vectors) / FEATURES_A_WORD), 1, MOST_BRANCHES))
    coarse = centres_of(vectors, branches, rng)
    member = (vectors @ coarse.T - 0.5 * (coarse**2).sum(axis=1)).argmax(axis=1)
    parts = [vectors[member == nth] for nth in range(branches)]
    centres = np.concatenate([centres_of(part, branches, rng) for part in parts if len(part)])
    directions = np.linalg.qr(rng.standard_normal((LENGTH, BITS)))[0].astype(np.float32)
    words = (vectors @ centres.T - 0.5 * (centres**2).sum(axis=1)).argmax(axis=1)
    return Vocabulary(centres, medians_of(vectors @ directions, words, len(centres)), directions)


def centres_of(vectors: Floats, count: int, rng: np.random.Generator) -> Floats:
    """Return the centres that k-means finds; no more than there are vectors."""
    centres = vectors[rng.permutation(len(vectors))[:count]]
    for _ in range(ROUNDS):
        member = (vectors @ centres.T - 0.5 * (centres**2).sum(axis=1)).argmax(axis=1)
        order = np.argsort(member, kind="stable")
        present, first = np.unique(member[order], return_index=True)
        sums = np.add.reduceat(vectors[order], first, axis=0)
        moved = centres.copy()
        moved[present] = sums / np.diff(np.append(first, len(vectors)))[:, None]
        centres = moved
    return np.asarray(centres, np.float32)


def medians_of(projected: Floats, words: npt.NDArray[np.intp], count: int) -> Floats:
    """Return the median of each word's projections; that of all where a word has few."""
    medians = np.tile(np.median(projected, axis=0), (count, 1)).astype(np.float32)
    order = np.argsort(words, kind="stable")
    for part in np.split(order, np.flatnonzero(np.diff(words[order])) + 1):
        if len(part) >= 5:
            medians[words[part[0]]] = np.median(projected[part], axis=0)
    return medians
