"""A photograph of unlabelled spines compared with the record by their text; a person is asked about doubtful ones."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from intake.edges.store.queries.shelves import places_in
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.resolve import find_shelf
from intake.flow.lookup.wording import title_words
from intake.flow.shelves.check_shelf import ShelfReport, names_of, report_row
from intake.flow.shelves.shelf_state import read_shelves
from intake.model.places import Place
from intake.model.readings import TextLine
from intake.shelving.check import ReadRow
from intake.shelving.spines import ExpectedCopy, SpineMatch, best_lines, identify_spines, spine_texts


@dataclass(frozen=True, slots=True)
class SpineQuestion:
    """A spine that was not identified for certain: the text read on it, and the copies it may be, best first."""

    text: str
    candidates: tuple[str, ...]
    words: tuple[str, ...]


Ask = Callable[[SpineQuestion], str | None]
"""Asks a person; None leaves the spine unidentified."""


def leave_it(_question: SpineQuestion) -> str | None:
    """Leave a doubtful spine unidentified: the default where there is no person to ask."""
    return None


@dataclass(frozen=True, slots=True)
class SpineReport:
    """What one photograph shows.

    Attributes:
        spines: every spine from the left, with its confidence.
        shelf: the diagnosis made with the sure ones and those a person named.
    """

    spines: tuple[SpineMatch, ...]
    shelf: ShelfReport


def check_spines(
    reader: LibraryReader, lines: Iterable[TextLine], *, shelf_text: str, ask: Ask = leave_it
) -> SpineReport:
    """Identify the spines of one shelf and compare them with the record.

    Args:
        reader: the library.
        lines: of text, as read in the picture.
        shelf_text: the shelf that the picture shows; what stands on its neighbours in the bookcase is considered too.
        ask: asks a person about the doubtful ones.

    Raises:
        RefusedError: there is no such shelf.
    """
    shelf = find_shelf(reader, shelf_text)
    spines = identify_spines(spine_texts(best_lines(list(lines))), _expected(reader, shelf))
    doubtful = {
        copy for spine in spines if not spine.sure for copy in (spine.copy, spine.runner_up) if copy is not None
    }
    name = names_of(reader, doubtful)
    answers = (spine.copy if spine.sure else ask(_question(spine, name)) for spine in spines)
    numbers = dict.fromkeys(answer for answer in answers if answer is not None)
    return SpineReport(spines, report_row(reader, shelf, ReadRow(tuple(numbers), (shelf.number,))))


def _expected(reader: LibraryReader, shelf: Place) -> list[ExpectedCopy]:
    """Return the copies on the shelf and on those above and below it."""
    siblings = list(places_in(reader, shelf.parent))
    at = siblings.index(shelf)
    near = siblings[max(0, at - 1) : at + 2]
    return [
        ExpectedCopy(copy.accession, title_words(edition), "; ".join(edition.contributors))
        for other in read_shelves(reader, near)
        for copy, edition in other.standing
    ]


def _question(spine: SpineMatch, name: Mapping[str, str]) -> SpineQuestion:
    candidates = tuple(copy for copy in (spine.copy, spine.runner_up) if copy is not None)
    return SpineQuestion(spine.text, candidates, tuple(name[copy] for copy in candidates))
