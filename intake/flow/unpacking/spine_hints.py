"""What the text of a spine may be: titles that are awaited in the open box, or titles listed elsewhere.

A spine names a book no better than a title does, so that it is a question, or a remark, and books nothing.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.identify import editions_in_box, titles_near
from intake.flow.lookup.wording import title_words
from intake.flow.pictures.read_scene import ReadScene
from intake.model.editions import Copy, Edition
from intake.model.scenes import Spine
from intake.shelving.spines import LEAST, ExpectedCopy, title_likeness

NEAR = 0.15
"""Likeness below that of the best title within which another may be meant."""


@dataclass(frozen=True, slots=True)
class SpineHint:
    """A spine and what it may be, whatever it says.

    Attributes:
        copies: of the titles it is like, the likest first; of a title that is awaited the awaited copies alone. The
            copy is None for a title that has none. Empty where no title is like it.
        asks: whether one of them is awaited in the box, so that a person has to look.
    """

    spine: Spine
    name: str
    copies: tuple[tuple[Copy | None, Edition], ...]
    asks: bool


def spine_hints(
    records: LibraryReader, box: str, shown: Sequence[ReadScene], awaited: Collection[str]
) -> Iterator[SpineHint]:
    """Yield each spine of the pictures, with the titles that it is like.

    Args:
        records: the library.
        box: number of the open box.
        shown: what was read in the pictures.
        awaited: copies of the box that were not found.
    """
    in_box = editions_in_box(records, box) if any(each.scene.spines for each in shown) else ()
    for each in shown:
        for spine in each.scene.spines:
            copies = tuple(_copies_like(records, in_box, spine.text, awaited))
            asks = any(copy is not None and copy.accession in awaited for copy, _ in copies)
            yield SpineHint(spine, each.name, copies, asks)


def _copies_like(
    records: LibraryReader, in_box: Sequence[Edition], text: str, awaited: Collection[str]
) -> Iterator[tuple[Copy | None, Edition]]:
    near = dict.fromkeys((*in_box, *titles_near(records, text)))
    scored = [(_likeness(text, edition), edition) for edition in near]
    least = max([LEAST, *(score - NEAR for score, _ in scored)])
    like = sorted(((score, edition) for score, edition in scored if score >= least), key=lambda pair: -pair[0])
    copies = copies_of_editions(records, [edition.id for _, edition in like])
    for _, edition in like:
        own = [copy for copy in copies if copy.edition_id == edition.id]
        here = [copy for copy in own if copy.accession in awaited]
        for copy in here or own or (None,):
            yield copy, edition


def _likeness(text: str, edition: Edition) -> float:
    return title_likeness(text, ExpectedCopy("", title_words(edition), "; ".join(edition.contributors)))
