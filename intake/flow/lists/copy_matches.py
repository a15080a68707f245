"""Which recorded copy a row of a box list means: the one it names, else the next of its edition in its box."""

from collections import deque
from collections.abc import Iterable

from intake.edges.store.queries.copies import copies_in_boxes
from intake.edges.store.queries.lists import copies_in_no_box
from intake.edges.store.reader import LibraryReader
from intake.flow.lists.reasons import CellError, RowReason
from intake.identifiers.own import serial_of
from intake.model.editions import Copy


class CopyMatches:
    """Gives each recorded copy to one row: the n-th row of an edition in a box means the n-th such copy.

    The copies in no box count as those of one more box. The order of copies is that of their own numbers.

    Attributes:
        claimed: the lines of the rows that mean a copy, by its accession number.
    """

    def __init__(self, reader: LibraryReader) -> None:
        self._reader = reader
        self._waiting: dict[tuple[int, str | None], deque[Copy]] = {}
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
            self._waiting.setdefault((copy.edition_id, copy.box), deque()).append(copy)

    def next(self, edition_id: int, box: str | None, line: int) -> Copy | None:
        """Return the next copy of an edition in a box, or in none; None where no further one is recorded."""
        waiting = self._waiting.get((edition_id, box), ())
        while waiting:
            copy = waiting.popleft()
            if copy.accession not in self.claimed:
                self.claimed[copy.accession] = line
                return copy
        return None

    def claim(self, accession: str, line: int) -> None:
        """Give a copy to the row that names it.

        Raises:
            CellError: an earlier row means it.
        """
        if (earlier := self.claimed.setdefault(accession, line)) != line:
            raise CellError(RowReason.SAME_COPY, copy=accession, earlier=earlier)
