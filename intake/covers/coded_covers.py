"""The covers of a collection as words and signatures, cover after cover: what an index is made of, and grows by.

A word and a signature take 10 bytes, so that 20,000 covers need 50 MB. The words are learned anew once there are
`OUTGROWN` times as many covers as they were learned from: until then new covers are coded by the old ones.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from intake.covers.short_list import CoverIndex
from intake.covers.visual_words import Vocabulary

INDEXED = 250
"""Features of each cover that are indexed, the strongest."""
OUTGROWN = 4


@dataclass(frozen=True, slots=True, eq=False)
class CodedCovers:
    """The indexed features of all covers, cover after cover.

    Attributes:
        vocabulary: the words.
        learned_from: so many covers the words were learned from.
        words: uint16, one a feature.
        signatures: uint64, one a feature.
        lengths: int32, the features of each cover.
    """

    vocabulary: Vocabulary
    learned_from: int
    words: npt.NDArray[np.uint16]
    signatures: npt.NDArray[np.uint64]
    lengths: npt.NDArray[np.int32]

    def __len__(self) -> int:
        return len(self.lengths)

    def with_more(self, features: Iterable[npt.NDArray[np.uint8]]) -> "CodedCovers":
        """Add covers at the end, each given as its descriptions, n by 128 bytes, the strongest feature first."""
        words, signatures, lengths = [self.words], [self.signatures], [self.lengths]
        for descriptions in features:
            indexed = descriptions[:INDEXED]
            of_each = self.vocabulary.words_of(indexed)
            words.append(of_each[:, 0].astype(np.uint16))
            signatures.append(self.vocabulary.signatures(indexed, of_each)[:, 0])
            lengths.append(np.array([len(indexed)], np.int32))
        return replace(
            self, words=np.concatenate(words), signatures=np.concatenate(signatures), lengths=np.concatenate(lengths)
        )

    def only(self, covers: Sequence[int]) -> "CodedCovers":
        """Keep some of the covers, in their order."""
        keep = np.zeros(len(self), bool)
        keep[list(covers)] = True
        features = np.repeat(keep, self.lengths)
        return replace(
            self, words=self.words[features], signatures=self.signatures[features], lengths=self.lengths[keep]
        )

    def is_outgrown(self, covers: int) -> bool:
        """Return whether so many covers deserve words of their own."""
        return covers > OUTGROWN * self.learned_from

    def index(self) -> CoverIndex:
        """Bring the features into the order of their words."""
        order = np.argsort(self.words, kind="stable")
        starts = np.searchsorted(self.words[order], np.arange(len(self.vocabulary) + 1)).astype(np.int64)
        covers = np.repeat(np.arange(len(self), dtype=np.int32), self.lengths)
        return CoverIndex(self.vocabulary, starts, self.signatures[order], covers[order], self.lengths)


def uncoded(vocabulary: Vocabulary, learned_from: int) -> CodedCovers:
    """Return no covers, with the words that they will be coded by."""
    nothing = (np.zeros(0, np.uint16), np.zeros(0, np.uint64), np.zeros(0, np.int32))
    return CodedCovers(vocabulary, learned_from, *nothing)
