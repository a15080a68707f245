"""Why copies are kept, on the papers that may tell it: after their pages, and in a last column of their tables.

The note is the person's own, and may be nobody else's business: papers that others get leave it out unless it is asked
for.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from intake.documents import reasons
from intake.edges import fonts
from intake.edges.sheets import Cell
from intake.edges.store.queries.papers import copies_with_editions
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperPages, PaperTable
from intake.model.catalogues import KeptReason
from intake.units.language import say, term

Content = TypeVar("Content")
COLUMN = term("Why it is kept")
NONE = term("Of no copy on this paper is it recorded why it is kept.")


@dataclass(frozen=True, slots=True)
class WhyKept:
    """Why the copies on a paper are kept, in its order; those of which nothing is recorded are left out."""

    reasons: tuple[KeptReason, ...]

    def on_pages(self, laid_out: PaperPages, options: PaperOptions) -> PaperPages:
        """Return a paper with the pages that tell why its copies are kept after its own."""
        if not self.reasons:
            return replace(laid_out, notices=(*laid_out.notices, say(NONE)))
        pages = reasons.lay_out(self.reasons, laid_out.title, measure=fonts.measure, paper_mm=options.paper_mm)
        return replace(laid_out, pages=[*laid_out.pages, *pages])

    def in_table(self, table: PaperTable) -> PaperTable:
        """Return a table with a last column that tells it, in the row of each copy."""
        notices = table.notices if self.reasons else (*table.notices, say(NONE))
        return replace(table, header=(*table.header, COLUMN), rows=self._rows(table.rows), notices=notices)

    def _rows(self, rows: Iterable[Sequence[Cell]]) -> Iterator[tuple[Cell, ...]]:
        told = {reason.copy: reason.words for reason in self.reasons}
        for row in rows:
            numbers = (cell for cell in row if isinstance(cell, str) and cell in told)
            yield (*row, told.get(next(numbers, ""), ""))


def why_kept(reader: LibraryReader, paper: Paper[Content], content: Content, options: PaperOptions) -> WhyKept | None:
    """Return why the copies on a paper are kept; None where that was not asked for, or the paper lists no copies."""
    if not options.show_why or paper.copies_on is None:
        return None
    numbers = list(dict.fromkeys(paper.copies_on(content)))
    pairs = copies_with_editions(reader, numbers)
    listed = ((number, *pairs[number]) for number in numbers if number in pairs)
    return WhyKept(
        tuple(
            KeptReason(number, title_words(edition), words)
            for number, copy, edition in listed
            if (words := copy.why or edition.why)
        )
    )
