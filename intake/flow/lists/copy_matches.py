"""Which recorded copy a row of a box list means: the one it names, else one of equal content, else the next in order.

A copy is found by what the list said of it before, wherever it lies now; then by what is recorded of it. So a row that
is removed, or two that change places, do not give one copy the condition and value of another. Only the rows that say
of no copy what was said before are matched by their order, after the last row: then it is known which copies are left.
A copy of which a row says nothing that was known is not that row's, though it is the only one left (`may_mean`).
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from intake.edges.store.queries.copies import copies_in_boxes
from intake.edges.store.queries.lists import copies_in_no_box, valuations_of_copies
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.earlier_import import DESCRIBING, LISTED, EarlierImport, ListedWorth
from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers.own import serial_of
from intake.model.editions import Copy

Cells = tuple[object, ...]

COMPARED = (*DESCRIBING, "worth")
"""What a row and a copy may agree in beside the box."""
TELLING = frozenset({"condition", "note", "why", "worth"})
"""Those that tell one copy from another; the others are words of which many copies have the same."""


@dataclass(frozen=True, slots=True)
class CopyContent:
    """All that a row says of its copy, or that is recorded of one.

    Attributes:
        edition_id: of the copy.
        box: its number, None for none.
        cells: those that describe it, in the order of `earlier_import.DESCRIBING`.
        worth: what it is worth; None if nothing is said of it.
    """

    edition_id: int
    box: str | None
    cells: Cells
    worth: ListedWorth | None


class CopyMatches:
    """Gives each recorded copy to one row.

    Args:
        reader: of the library.
        earlier: what earlier imports of the list said.

    Attributes:
        claimed: the lines of the rows that mean a copy, by its accession number.
    """

    def __init__(self, reader: LibraryReader, earlier: EarlierImport) -> None:
        self._reader = reader
        self._earlier = earlier
        self._in_box: dict[tuple[int, str | None], dict[str, Copy]] = {}
        self._worths: dict[str, ListedWorth] = {}
        self._boxes: set[int | str] = set()
        self._unboxed: set[int] = set()
        self.claimed: dict[str, int] = {}

    def load(self, boxes: Iterable[int | str], unboxed: Iterable[int]) -> None:
        """Fetch the copies of boxes, and the copies in no box of editions, unless an earlier lot did.

        Args:
            boxes: numbers of recorded boxes.
            unboxed: ids of the editions of rows that name no box.
        """
        new_boxes, new_editions = set(boxes) - self._boxes, set(unboxed) - self._unboxed
        self._boxes |= new_boxes
        self._unboxed |= new_editions
        copies = (*copies_in_boxes(self._reader, new_boxes), *copies_in_no_box(self._reader, new_editions))
        for copy in sorted(copies, key=lambda copy: serial_of(copy.accession)):
            self._in_box.setdefault((copy.edition_id, copy.box), {})[copy.accession] = copy
        others = (copy.accession for copy in copies if self._earlier.of(copy.accession) is None)
        for value in sorted(valuations_of_copies(self._reader, others), key=lambda value: (value.on, value.id)):
            self._worths[value.copy] = (value.amount, value.currency, value.basis.value)

    def same(self, contents: Mapping[int, CopyContent]) -> dict[int, Copy]:
        """Give each row the copy of which the list said all that the row says, else one that is recorded so.

        Args:
            contents: of the rows, by line.

        Returns:
            The copies of those rows that have one, by line.
        """
        listed = {
            line: self._earlier.saying(content.edition_id, (content.box, *content.cells), content.worth)
            for line, content in contents.items()
        }
        stored = self._reader.get_many(Copy, {accession for several in listed.values() for accession in several})
        found: dict[int, Copy] = {}
        for line, content in contents.items():
            known = (copy for accession in listed[line] if (copy := stored.get(accession)) is not None)
            of_edition = [copy for copy in known if copy.edition_id == content.edition_id]
            copy = self._first_free([*of_edition, *self._recorded_so(content)], line)
            if copy is not None:
                found[line] = copy
        return found

    def in_box(self, edition_id: int, box: str | None) -> list[Copy]:
        """Return the copies of an edition in a box, or in none, that no row means, in the order of their numbers."""
        return [copy for copy in self._in_box.get((edition_id, box), {}).values() if copy.accession not in self.claimed]

    def may_mean(self, content: CopyContent, copy: Copy, *, is_moved: bool) -> bool:
        """Tell whether a row may be a correction of what is known of a copy, and not another copy of the edition.

        What both say is compared. A row that moves a copy has its note, or agrees with it in half of that at least. A
        row of the copy's own box agrees in that already; it is another copy where its note is another and neither its
        condition nor its value agrees. That two copies have the same grade means little.
        """
        said = self._earlier.of(copy.accession)
        known = (*cells_of(copy), self._worths.get(copy.accession))
        listed = (*said.cells[len(LISTED) - len(DESCRIBING) :], said.worth) if said is not None else known
        compared = {
            name: cell in (now, before)
            for name, cell, now, before in zip(COMPARED, (*content.cells, content.worth), known, listed, strict=True)
            if cell and (now or before)
        }
        telling = {name: agrees for name, agrees in compared.items() if name in TELLING}
        agreeing = list((telling or compared).values())
        if is_moved:
            return compared.get("note", False) or 2 * sum(agreeing) >= len(agreeing)
        return "note" not in telling or len(telling) == 1 or any(agreeing)

    def claim(self, accession: str, line: int) -> None:
        """Give a copy to the row that means it.

        Raises:
            CellError: an earlier row means it.
        """
        if (earlier := self.claimed.setdefault(accession, line)) != line:
            raise CellError(RowReason.SAME_COPY, copy=accession, earlier=earlier)

    def _recorded_so(self, content: CopyContent) -> Iterator[Copy]:
        """Yield the copies in the row's box that other lists or people recorded just as the row describes it."""
        for copy in self._in_box.get((content.edition_id, content.box), {}).values():
            is_other = copy.accession not in self.claimed and self._earlier.of(copy.accession) is None
            if is_other and (cells_of(copy), self._worths.get(copy.accession)) == (content.cells, content.worth):
                yield copy

    def _first_free(self, copies: Sequence[Copy], line: int) -> Copy | None:
        for copy in copies:
            if copy.accession not in self.claimed:
                self.claimed[copy.accession] = line
                return copy
        return None


def cells_of(copy: Copy) -> Cells:
    """Return what is recorded of a copy in the form of `CopyContent.cells`."""
    return tuple(getattr(copy, field) for field in DESCRIBING)
