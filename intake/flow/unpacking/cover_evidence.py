"""The cover in a picture as evidence of which copy it is: compared with the photographs of copies taken earlier.

A cover that agrees with a photograph of one copy names that copy, as its own number would, where nothing else can
wear the same cover: no other copy of the edition or of the title in another edition or printing, and no other volume
of its set, unless that volume has a photograph of its own, which agreed less; a volume of which no other is known is
asked about. Where something else can wear it, a person is asked, and told what to look at.
"""

import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

from intake.edges import pictures
from intake.edges.store.library import Library
from intake.edges.store.queries.condition import copy_pictures, photographs_mark
from intake.edges.store.queries.copies import CopyPair, kin_of_copies
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.resolve import find_copy
from intake.flow.lookup.wording import copy_field_words, edition_field_words
from intake.flow.pictures.cover_folder import covers_in
from intake.flow.pictures.cover_library import CoverAnswer, CoverLibrary, KnownCover, UnusableCover, open_covers
from intake.flow.pictures.read_files import ReadPicture
from intake.flow.unpacking.scan_results import CoverEvidence
from intake.model.covers import CoverVerdict
from intake.model.editions import Copy, Edition, title_key
from intake.model.readings import Reading
from intake.model.reasons import Reason, ReasonKind
from intake.model.sightings import Picture
from intake.model.volumes import split_volume

MOST_NAMED = 12
"""Copies named to a person who has to choose."""
SHOWN_BY_EDITION = ("title", "volume", "statement", "year", "publisher", "number", "binding", "language")
SHOWN_BY_COPY = ("printing_id", "signed", "limitation", "has_jacket", "slipcase", "covering", "finish", "sewing")
"""What the book in the hand shows, in the order in which it is looked at."""


class CoverLookup:
    """Compares pictures with the photographs of copies in a library, from several threads.

    These are indexed when they are first needed, and again where there are others since.

    Args:
        library: whose photographs they are.
        workers: pictures opened at a time.
        folder: further pictures, each named by the copy it shows; see `intake.flow.pictures.cover_folder`.
    """

    def __init__(self, library: Library, workers: int = 1, folder: Path | None = None) -> None:
        self._library = library
        self._workers = workers
        self._named, self._unnamed = named_covers(library, folder) if folder is not None else ((), ())
        self._turn = threading.Lock()
        self._opened: CoverLibrary | None = None
        self._mark = (0, 0)

    @property
    def covers(self) -> CoverLibrary:
        """The photographs of copies."""
        with self._turn:
            with self._library.reading() as records:
                mark = photographs_mark(records)
            if self._opened is None or mark != self._mark:
                known = (*known_covers(self._library), *self._named)
                self._opened, self._mark = open_covers(self._library.folder, known, workers=self._workers), mark
            return self._opened

    @property
    def unusable(self) -> tuple[UnusableCover, ...]:
        """Pictures that nothing was compared with, as far as they were needed.

        A photograph in the library that shows too little is not among them: it may show a detail.
        """
        found = self._opened.unusable if self._opened is not None else ()
        named = {cover.name for cover in self._named}
        return (*self._unnamed, *(cover for cover in found if cover.error is not None or cover.name in named))

    def evidence(self, read: ReadPicture) -> CoverEvidence | None:
        """Return whose cover a picture shows; None where its symbols tell already, or no cover agrees."""
        if read.picture is None or any(reading.accepted for reading in read.result.readings):
            return None
        covers = self.covers
        return self._seen(covers, pictures.load(read.path).grey, read.picture) if covers.known else None

    def evidence_of(
        self, grey: npt.NDArray[np.uint8], picture: Picture, readings: Sequence[Reading]
    ) -> CoverEvidence | None:
        """Return the same of a picture that was sent: uint8, height by width, its record, and what was read in it."""
        if any(reading.accepted for reading in readings):
            return None
        covers = self.covers
        return self._seen(covers, grey, picture) if covers.known else None

    def _seen(self, covers: CoverLibrary, grey: npt.NDArray[np.uint8], picture: Picture) -> CoverEvidence | None:
        answer = covers.look(grey, besides=picture.sha256)
        if answer.verdict is CoverVerdict.NONE:
            return None
        with self._library.reading() as records:
            return weighed(records, answer, {cover.owner for shown in covers.known for cover in shown})


def known_covers(library: Library) -> tuple[KnownCover, ...]:
    """List the photographs of copies that are kept; those of damage in a report too, as far as they show a cover."""
    with library.reading() as records:
        shown = copy_pictures(records)
        kept = records.get_many(Picture, {each.picture for each in shown})
    known = []
    for each in shown:
        record, path = kept.get(each.picture), library.picture_path(each.picture)
        if isinstance(record, Picture) and path is not None:
            known.append(KnownCover(each.copy, each.picture, path, record.name))
    return tuple(known)


def named_covers(library: Library, folder: Path) -> tuple[tuple[KnownCover, ...], tuple[UnusableCover, ...]]:
    """List the pictures in a folder by the copies that they are named by, and those that name no copy, or several.

    Raises:
        FileError: it is not a folder that can be listed.
    """
    found, unusable = covers_in(folder)
    named, unnamed = [], list(unusable)
    with library.reading() as records:
        for cover in found:
            try:
                named.append(replace(cover, owner=find_copy(records, cover.owner).accession))
            except RefusedError as error:
                unnamed.append(UnusableCover(cover.name, str(error)))
    return tuple(named), tuple(unnamed)


def weighed(records: LibraryReader, answer: CoverAnswer, photographed: set[str]) -> CoverEvidence | None:
    """Return which copies the cover may be of, and whether it can only be of the first.

    Args:
        records: the library.
        answer: what the picture shows, not NONE.
        photographed: the copies of which there are photographs.
    """
    kin = kin_of_copies(records, answer.owners[:MOST_NAMED])
    pairs = {pair[0].accession: pair for pair in kin}
    owners = [owner for owner in answer.owners[:MOST_NAMED] if owner in pairs]
    if not owners:
        return None  # withdrawn meanwhile
    best = answer.matches[0].candidate
    if answer.verdict is CoverVerdict.PERHAPS:
        like = Reason(ReasonKind.COVER_LIKE, copy=owners[0], count=best.inliers)
        return CoverEvidence(
            tuple(owners), (like, Reason(ReasonKind.COVER_UNLIKE)) if best.unlike else (like,), trusted=False
        )
    if answer.verdict is CoverVerdict.BESIDE:
        beside = Reason(ReasonKind.COVERS_BESIDE, count=len(answer.owners))
        return CoverEvidence(tuple(owners), (beside,), trusted=False)
    copy, edition = pairs[owners[0]]
    alike = [
        pair[0].accession for pair in kin if pair[0].accession not in owners and may_share(pair, edition, photographed)
    ]
    seen = Reason(ReasonKind.COVER_SEEN, copy=copy.accession, count=best.inliers)
    together = (*owners, *alike)[:MOST_NAMED]
    if len(owners) + len(alike) == 1:
        if is_volume_alone(edition, kin):
            return CoverEvidence(together, (seen, Reason(ReasonKind.COVER_OF_VOLUME)), trusted=False)
        return CoverEvidence(together, (seen,), trusted=True)
    apart = differing([pairs[accession] for accession in together])
    shared = Reason(ReasonKind.COVER_SHARED, count=len(owners) + len(alike), texts=apart)
    return CoverEvidence(together, (seen, shared), trusted=False)


def may_share(pair: CopyPair, edition: Edition, photographed: set[str]) -> bool:
    """Return whether another copy may wear the cover of this edition and was not compared itself."""
    copy, other = pair
    same_book = title_key(other.title) == title_key(edition.title) and other.volume == edition.volume
    return same_book or copy.accession not in photographed


def is_volume_alone(edition: Edition, kin: Sequence[CopyPair]) -> bool:
    """Return whether it is a volume of which no other is known to belong to it: those of a set often look alike."""
    if edition.set_id is None and not edition.volume:
        return bool(split_volume(edition.title)[1])
    return all(other.id == edition.id for _, other in kin)


def differing(pairs: Sequence[CopyPair]) -> tuple[str, ...]:
    """Return the names of what tells these copies apart by their records; empty where nothing does."""
    copies = [copy for copy, _ in pairs]
    editions = [edition for _, edition in pairs]
    return (
        *(edition_field_words(name) for name in SHOWN_BY_EDITION if varies(editions, name)),
        *(copy_field_words(name) for name in SHOWN_BY_COPY if varies(copies, name)),
    )


def varies(records: Sequence[Edition] | Sequence[Copy], name: str) -> bool:
    """Return whether a field has more than one value."""
    return len({getattr(record, name) for record in records}) > 1
