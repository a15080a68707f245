"""Papers made: gathered, set on pages or in a table, drawn as the bytes of a file, and saved."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date
from itertools import zip_longest
from pathlib import Path
from typing import TypeVar

from intake.documents.missing_letters import name_missing
from intake.edges import catalogues, collector, folder_archive, fonts, pdf, sheets, svg, workbook_writer
from intake.edges.atomic_write import write_whole
from intake.edges.store.library import Library
from intake.errors import RefusedError, UsageError
from intake.flow.papers.options import PaperOptions, missing
from intake.flow.papers.paper import Paper, PaperFormat, PaperPages, PaperSource, PaperTable, PrintRecord
from intake.flow.papers.reading_for_paper import reading_for
from intake.flow.papers.spoken_table import in_language
from intake.flow.papers.why_kept import WhyKept, why_kept
from intake.model.changes import Action
from intake.model.pages import Page, PrintReport
from intake.units.counts import counted
from intake.units.language import say, speaking

Content = TypeVar("Content")


@dataclass(frozen=True, slots=True)
class RenderedPaper:
    """A paper as a file.

    Attributes:
        data: the bytes of the file.
        report: how many pages it has, and the letters that could not be printed as they should be.
        labels: how many labels it has; None where it has none.
        to_record: what the library is to remember once it is printed; None for nothing.
        notices: what the person who makes the paper is told beside it.
    """

    data: bytes
    report: PrintReport
    labels: int | None = None
    to_record: PrintRecord | None = None
    notices: tuple[str, ...] = ()


def render(
    library: Library, paper: Paper[Content], options: PaperOptions, form: PaperFormat, *, on: date
) -> RenderedPaper:
    """Make a paper; nothing is written, neither to a file nor to the library, but for photographs kept as scaled.

    Args:
        library: what it is of.
        paper: a record of `intake.flow.papers.registry`.
        options: as chosen.
        form: the kind of file.
        on: the day of the paper.

    Raises:
        RefusedError: there is nothing to print, or no such box, copy, shelf or consignment.
        StoreError: the library is not as its ledger left it, and others act on the paper.
        UsageError: the paper cannot be a file of this kind, or an option is missing or does not fit.
    """
    for option in missing(paper.options, options):
        raise UsageError(paper.title, f"cannot be made without: {option.label}", "fill it in")
    with reading_for(library, paper, options) as reader:
        content = paper.gather(PaperSource(library, reader, on, form), options)
        kept = why_kept(reader, paper, content, options)
    return draw(paper, content, options, form, kept)


def render_in_parts(
    library: Library,
    paper: Paper[Content],
    options: PaperOptions,
    parts: Sequence[str],
    *,
    on: date,
    advance: Callable[[int], object],
) -> RenderedPaper:
    """Make a paper as a PDF, one part after the other, so that it can be told how far it is; nothing is written.

    Args:
        library: what it is of, as it is at one moment.
        paper: one whose parts have pages of their own (`Paper.parts`).
        options: as chosen.
        parts: which, in order.
        on: the day of the paper.
        advance: is told how many parts are done.

    Raises:
        RefusedError, StoreError, UsageError: see `render`.
    """
    with reading_for(library, paper, options) as reader:
        source = PaperSource(library, reader, on, PaperFormat.PDF)
        notices: dict[str, None] = {}

        def pages() -> Iterator[Page]:
            for nth, part in enumerate(parts, 1):
                chosen = replace(options, **{paper.parts: (part,)})  # type: ignore[arg-type] # the option takes several
                content = paper.gather(source, chosen)
                laid_out, kept = paper.lay_out(content, chosen), why_kept(reader, paper, content, chosen)
                laid_out = kept.on_pages(laid_out, chosen) if kept else laid_out
                notices.update(dict.fromkeys(laid_out.notices))
                yield from _naming_missing(laid_out)
                advance(nth)

        data, report = pdf.draw(pages(), title=say(paper.title))
    if not report.pages:
        raise _nothing_to_print(paper)
    return RenderedPaper(data, report, notices=tuple(notices))


def draw(
    paper: Paper[Content], content: Content, options: PaperOptions, form: PaperFormat, kept: WhyKept | None = None
) -> RenderedPaper:
    """Make a paper of content that is gathered already, and of why its copies are kept; see `render`."""
    with collector.paused(), speaking_as(options):
        return _draw(paper, content, options, form, kept)


def speaking_as(options: PaperOptions) -> AbstractContextManager[None]:
    """Return a block in which whatever is said is in the language of a paper."""
    return speaking(catalogues.find_language(options.language))


def _draw(
    paper: Paper[Content], content: Content, options: PaperOptions, form: PaperFormat, kept: WhyKept | None
) -> RenderedPaper:
    if form not in paper.formats:
        raise UsageError(paper.title, f"cannot be a file of the kind .{form}", f"choose {_suffixes(paper)}")
    if paper.as_site is not None and form is PaperFormat.ZIP:
        files, notices = paper.as_site(content)
        return RenderedPaper(folder_archive.pack(files), PrintReport(pages=1), notices=notices)
    if paper.tabulate is not None and form in _TABLES:
        table = paper.tabulate(content, options)
        table = in_language(kept.in_table(table) if kept else table)
        return RenderedPaper(_TABLES[form](table, options), PrintReport(pages=1), notices=table.notices)
    laid_out = paper.lay_out(content, options)
    if not laid_out.pages:
        raise _nothing_to_print(paper)
    laid_out = kept.on_pages(laid_out, options) if kept else laid_out
    data, report = _PAGES[form](laid_out)
    return RenderedPaper(data, report, laid_out.labels, paper.to_record(content), laid_out.notices)


def _nothing_to_print(paper: Paper[Content]) -> RefusedError:
    why, remedy = "would have no page, because there is nothing to print", "record it first, or choose something else"
    return RefusedError(paper.title, why, remedy)


def print_paper(
    library: Library, paper: Paper[Content], options: PaperOptions, path: Path, *, on: date, station: str
) -> RenderedPaper:
    """Make a paper and save it, the kind of file as the path's name ends; then record that it was printed.

    Raises:
        FileError: the file cannot be written.
        RefusedError, UsageError: see `render` and `format_of`.
    """
    rendered = render(library, paper, options, format_of(paper, path), on=on)
    if path.suffix:
        save(rendered, path)
    else:
        folder_archive.unpack(rendered.data, path)
    record_printed(library, rendered, station=station)
    return rendered


def find_record(library: Library, paper: Paper[Content], options: PaperOptions, *, on: date) -> PrintRecord | None:
    """Return what the library is to remember once a paper is printed as it is now; None for nothing new.

    Raises:
        RefusedError, UsageError: see `render`.
    """
    with library.reading() as reader, speaking_as(options):
        return paper.to_record(paper.gather(PaperSource(library, reader, on, PaperFormat.PDF), options))


def record_as_shown(
    library: Library, paper: Paper[Content], options: PaperOptions, mark: str, *, on: date, station: str
) -> int:
    """Remember that a paper was printed as it was shown, and return how many labels that are.

    Args:
        library: where it is remembered.
        paper: a record of the registry.
        options: as chosen when it was shown.
        mark: of the record at that moment (`PrintRecord.mark`).
        on: today.
        station: who printed it.

    Raises:
        RefusedError: it would say something else by now, or all of it is remembered already.
    """
    record = find_record(library, paper, options, on=on)
    if record is None or record.mark != mark:
        why = "would say something else by now, or are remembered as printed already"
        raise RefusedError(paper.title, why, "look at them again")
    _record(library, record, station)
    return len(record.changes)


def record_printed(library: Library, rendered: RenderedPaper, *, station: str) -> None:
    """Remember what a paper said when it was printed, where the library is to remember that."""
    if rendered.to_record is not None:
        _record(library, rendered.to_record, station)


def _record(library: Library, record: PrintRecord, station: str) -> None:
    library.apply(Action(record.action, counted(len(record.changes), "label"), station), record.changes)


def save(rendered: RenderedPaper, path: Path) -> None:
    """Write the bytes of a paper to a file, whole or not at all.

    Raises:
        FileError: the file cannot be written.
    """
    write_whole(path, rendered.data)


def format_of(paper: Paper[Content], path: Path) -> PaperFormat:
    """Return the kind of file that a name asks for.

    Raises:
        UsageError: the paper has no such format.
    """
    suffix = path.suffix.casefold().removeprefix(".")
    if not suffix and PaperFormat.ZIP in paper.formats:
        return PaperFormat.ZIP
    if suffix not in paper.formats:
        why = f"is not the name of a kind of file that this paper can be ({paper.title})"
        raise UsageError(str(path), why, f"end its name in {_suffixes(paper)}")
    return PaperFormat(suffix)


def _suffixes(paper: Paper[Content]) -> str:
    suffixes = [f".{form}" for form in paper.formats]
    return suffixes[0] if len(suffixes) == 1 else f"{', '.join(suffixes[:-1])} or {suffixes[-1]}"


def _as_pdf(pages: PaperPages) -> tuple[bytes, PrintReport]:
    return pdf.draw(_naming_missing(pages), title=pages.title, author=pages.author, subject=pages.proof)


def _naming_missing(pages: PaperPages) -> Sequence[Page]:
    """Return pages of which the last names the letters that no font has; a sheet of labels has no room for that."""
    if pages.labels is not None:
        return pages.pages
    return name_missing(pages.pages, fonts.missing_in(pages.pages), fonts.measure)


def _as_svg(pages: PaperPages) -> tuple[bytes, PrintReport]:
    if len(pages.pages) > 1:
        why = f"holds one drawing, not {len(pages.pages)}"
        raise RefusedError("A file of the kind .svg", why, "choose one, or a PDF")
    return svg.draw(pages.pages[0], title=pages.title).encode(), PrintReport(pages=1)


def _as_csv(table: PaperTable, options: PaperOptions) -> bytes:
    """Write a table as CSV; notes, one in a row, and in the first row the proof stand in last columns of their own.

    Where there are more notes than rows, the others follow in rows that are empty otherwise.
    """
    header, rows = table.header, [tuple(row) for row in table.rows]
    if table.notes:
        empty = (None,) * len(header)
        longest = zip_longest(rows, table.notes)
        header, rows = (*header, say("Notes")), [(*(row or empty), note or "") for row, note in longest]
    if table.proof:
        header, rows = (*header, say("Proof")), [(*row, "" if nth else table.proof) for nth, row in enumerate(rows)]
    return sheets.csv_bytes(header, rows, marked=options.marked)


def _as_workbook(table: PaperTable, _options: PaperOptions) -> bytes:
    return workbook_writer.xlsx_bytes(
        table.header, table.rows, title=table.title, totals=table.totals, notes=table.notes, proof=table.proof
    )


_PAGES: dict[PaperFormat, Callable[[PaperPages], tuple[bytes, PrintReport]]] = {
    PaperFormat.PDF: _as_pdf,
    PaperFormat.SVG: _as_svg,
}
_TABLES: dict[PaperFormat, Callable[[PaperTable, PaperOptions], bytes]] = {
    PaperFormat.CSV: _as_csv,
    PaperFormat.XLSX: _as_workbook,
}
