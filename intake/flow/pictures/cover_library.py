"""Pictures of covers whose owners are known, ready to be compared with: from a folder, or from a library.

What was computed of each picture is kept beside them (`intake.edges.cover_cache`) under its SHA-256, and the index over
all, so that only new pictures are opened.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np
import numpy.typing as npt

from intake.covers.coded_covers import CodedCovers, uncoded
from intake.covers.cover_features import CoverFeatures, describe
from intake.covers.recognise import ASK, judge, recognise
from intake.covers.short_list import CoverIndex
from intake.covers.visual_words import Vocabulary, learn
from intake.edges import pictures
from intake.edges.cover_cache import INDEX, CoverCache, Members
from intake.errors import FileError
from intake.model.covers import CoverCandidate, CoverVerdict
from intake.reading.geometry import centre_of, contains

VERSION = 1
"""Of the arrays kept; it changes with whatever changes them."""
LEARNED_FROM = 800
"""Covers of which the words are learned at most, spread over all."""


@dataclass(frozen=True, slots=True)
class KnownCover:
    """A picture of which it is known what it shows.

    Attributes:
        owner: what it shows: the number of a copy, or another key.
        sha256: of the file.
        name: of the file, for a person.
    """

    owner: str
    sha256: str
    path: Path
    name: str


@dataclass(frozen=True, slots=True)
class UnusableCover:
    """A picture that nothing can be compared with: the reason, None where it shows too little."""

    name: str
    error: str | None


@dataclass(frozen=True, slots=True)
class CoverMatch:
    """A known picture that agrees with the one looked at."""

    known: KnownCover
    candidate: CoverCandidate


@dataclass(frozen=True, slots=True)
class CoverAnswer:
    """What a picture shows by its cover.

    Attributes:
        owners: the one, if the verdict is SAME; those to choose from, best first, if it is SEVERAL or PERHAPS.
        matches: the pictures that agree, best first.
    """

    verdict: CoverVerdict
    owners: tuple[str, ...]
    matches: tuple[CoverMatch, ...]


@dataclass(frozen=True, slots=True, eq=False)
class CoverLibrary:
    """Known covers, and the index over them.

    Attributes:
        known: in the order of the index: what each picture shows, more than one thing if it is kept of several.
        unusable: pictures left out of it, and why.
    """

    known: tuple[tuple[KnownCover, ...], ...]
    index: CoverIndex | None
    features_of: Callable[[int], CoverFeatures | None]
    unusable: tuple[UnusableCover, ...]

    def look(self, grey: npt.NDArray[np.uint8], besides: str | None = None) -> CoverAnswer:
        """Return what a picture shows.

        Args:
            grey: uint8, height by width.
            besides: SHA-256 of a picture not to compare with, as it is the same file.
        """
        if self.index is None:
            return CoverAnswer(CoverVerdict.NONE, (), ())
        found = recognise(describe(grey), self.index, self.features_of)
        matches = tuple(
            CoverMatch(known, candidate)
            for candidate in found
            for known in self.known[candidate.cover]
            if known.sha256 != besides
        )
        places = [(match.known.owner, match.candidate.inliers) for match in matches]
        verdict, owners = judge(places, unlike=bool(matches) and matches[0].candidate.unlike)
        if verdict is CoverVerdict.SEVERAL and are_apart(matches, owners):
            verdict = CoverVerdict.BESIDE
        return CoverAnswer(verdict, owners, matches)


def are_apart(matches: Sequence[CoverMatch], owners: Sequence[str]) -> bool:
    """Return whether any two of these owners' covers lie beside each other in the picture: it shows several books."""
    best = {match.known.owner: match.candidate.corners for match in reversed(matches)}
    return any(
        not contains(best[one], centre_of(best[other])) and not contains(best[other], centre_of(best[one]))
        for one, other in combinations(owners, 2)
    )


def open_covers(
    beside: Path, known: Sequence[KnownCover], *, workers: int = 1, tick: Callable[[], None] = lambda: None
) -> CoverLibrary:
    """Index pictures, those that are not in the index yet.

    Args:
        beside: the folder that what is computed is kept in.
        known: the pictures.
        workers: pictures opened at a time.
        tick: called once for each picture that had to be opened.
    """
    cache = CoverCache(beside, VERSION)
    made: dict[str, CoverFeatures] = {}
    errors: dict[str, str] = {}

    def load(sha256: str) -> CoverFeatures | None:
        return made.get(sha256) or features_in(cache.load(sha256))

    def compute(cover: KnownCover) -> None:
        if (features := features_in(cache.load(cover.sha256))) is None:
            try:
                features = describe(pictures.load(cover.path).grey)
            except FileError as error:
                errors[cover.sha256] = str(error)
                return
            if not cache.save(cover.sha256, arrays_of(features)):
                made[cover.sha256] = features
        tick()

    paths = {cover.sha256: cover for cover in reversed(known)}
    coded, order = coded_in(cache.load(INDEX))
    kept = [place for place, sha256 in enumerate(order) if sha256 in paths]
    new = [cover for sha256, cover in paths.items() if sha256 not in set(order)]
    with ThreadPoolExecutor(max(workers, 1)) as pool:
        list(pool.map(compute, new))
    order = [order[place] for place in kept] + [cover.sha256 for cover in new if cover.sha256 not in errors]
    if coded is not None and not coded.is_outgrown(len(order)):
        changed = bool(new) or len(kept) < len(coded)
        coded = with_new(coded.only(kept), order[len(kept) :], load)
    else:
        changed, coded = True, coded_anew(order, load)
    if changed and coded is not None:
        cache.save(INDEX, arrays_in_index(coded, order))
        cache.keep_only(set(order))
    return assembled(known, order, coded, errors, load)


def assembled(
    known: Sequence[KnownCover],
    order: Sequence[str],
    coded: CodedCovers | None,
    errors: Mapping[str, str],
    load: Callable[[str], CoverFeatures | None],
) -> CoverLibrary:
    """Bring the pictures into the order of the index, and tell which are not in it."""
    showing: dict[str, dict[str, KnownCover]] = {}
    for cover in known:
        showing.setdefault(cover.sha256, {}).setdefault(cover.owner, cover)
    lengths = coded.lengths if coded is not None else np.zeros(len(order), np.int32)
    poor = {sha256 for sha256, length in zip(order, lengths, strict=True) if length < ASK}
    unusable = [
        UnusableCover(cover.name, errors.get(cover.sha256))
        for cover in known
        if cover.sha256 in errors or cover.sha256 in poor
    ]
    covers = tuple(tuple(showing[sha256].values()) for sha256 in order)
    index = coded.index() if coded is not None else None
    return CoverLibrary(covers, index, lambda cover: load(order[cover]), tuple(unusable))


def coded_anew(order: Sequence[str], load: Callable[[str], CoverFeatures | None]) -> CodedCovers | None:
    """Learn the words, and code all covers by them; None where there is nothing to learn from."""
    step = max(len(order) // LEARNED_FROM, 1)
    samples = [features.descriptions for sha256 in order[::step] if (features := load(sha256)) is not None]
    descriptions = np.concatenate(samples) if samples else np.zeros((0, 1), np.uint8)
    if not len(descriptions):
        return None
    return with_new(uncoded(learn(descriptions), len(order)), order, load)


def with_new(coded: CodedCovers, new: Iterable[str], load: Callable[[str], CoverFeatures | None]) -> CodedCovers:
    """Add covers whose features were kept; one whose features are lost has none."""
    nothing = np.zeros((0, coded.vocabulary.centres.shape[1]), np.uint8)
    found = (load(sha256) for sha256 in new)
    return coded.with_more(features.descriptions if features is not None else nothing for features in found)


def arrays_of(features: CoverFeatures) -> Members:
    """Give features the form in which they are kept."""
    size = np.array(features.size, np.int32)
    return {"points": features.points, "descriptions": features.descriptions, "size": size}


def features_in(arrays: Members | None) -> CoverFeatures | None:
    """Return kept features; None where there are none, or the arrays are not of features."""
    if arrays is None or not {"points", "descriptions", "size"} <= arrays.keys():
        return None
    points, descriptions, size = arrays["points"], arrays["descriptions"], arrays["size"]
    fit = points.shape == (len(descriptions), 2) and descriptions.shape[1:] == (128,) and size.shape == (2,)
    if not fit or points.dtype != np.float32 or descriptions.dtype != np.uint8:
        return None
    return CoverFeatures(points, descriptions, (int(size[0]), int(size[1])))


def arrays_in_index(coded: CodedCovers, order: Sequence[str]) -> Members:
    """Give the index the form in which it is kept."""
    return {
        "sha256": np.array([sha256.encode() for sha256 in order], "S64"),
        "learned_from": np.array(coded.learned_from),
        "centres": coded.vocabulary.centres,
        "medians": coded.vocabulary.medians,
        "directions": coded.vocabulary.directions,
        "words": coded.words,
        "signatures": coded.signatures,
        "lengths": coded.lengths,
    }


def coded_in(arrays: Members | None) -> tuple[CodedCovers | None, list[str]]:
    """Return the kept index and the SHA-256 of its covers; None and none where there is no sound one."""
    if arrays is None:
        return None, []
    try:
        order = [name.decode() for name in arrays["sha256"].tolist()]
        vocabulary = Vocabulary(arrays["centres"], arrays["medians"], arrays["directions"])
        learned = int(arrays["learned_from"])
        coded = CodedCovers(vocabulary, learned, arrays["words"], arrays["signatures"], arrays["lengths"])
        sound = len(coded) == len(order) and int(coded.lengths.sum()) == len(coded.words) == len(coded.signatures)
        if not sound or (len(coded.words) and int(coded.words.max()) >= len(vocabulary)):
            return None, []
    except (KeyError, ValueError, AttributeError, TypeError):
        return None, []
    return coded, order
