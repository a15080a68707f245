"""What the person who makes a paper is told beside it, known without drawing it."""

from datetime import date
from typing import TypeVar

from intake.edges.store.library import Library
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper, PaperFormat, PaperSource
from intake.flow.papers.reading_for_paper import reading_for
from intake.flow.papers.why_kept import why_kept

Content = TypeVar("Content")
TABLES = (PaperFormat.CSV, PaperFormat.XLSX)


def find_notices(
    library: Library, paper: Paper[Content], options: PaperOptions, form: PaperFormat, *, on: date
) -> tuple[str, ...]:
    """Return the notices of a paper; arguments and errors are those of `intake.flow.papers.render.render`."""
    with reading_for(library, paper, options) as reader:
        content = paper.gather(PaperSource(library, reader, on, form), options)
        kept = why_kept(reader, paper, content, options)
        if paper.as_site is not None and form is PaperFormat.ZIP:
            return paper.as_site(content)[1]
        if paper.tabulate is not None and form in TABLES:
            table = paper.tabulate(content, options)
            return (kept.in_table(table) if kept else table).notices
        laid_out = paper.lay_out(content, options)
        return (kept.on_pages(laid_out, options) if kept else laid_out).notices
