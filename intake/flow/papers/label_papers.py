"""Labels of shelves, copies and boxes: what they say, and which say something else than when last printed."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from intake.documents import label_check, labels
from intake.edges import fonts, templates
from intake.edges.store.queries.papers import copies_with_editions, shelved_copies
from intake.edges.store.queries.shelves import printed_labels, shelf_ordering
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.resolve import find_copy, find_shelf, refuse_withdrawn
from intake.flow.lookup.wording import edition_words, names_joined, volume_words, written_number
from intake.flow.papers.options import PaperOptions, SpineText
from intake.flow.papers.paper import PaperPages, PaperSource, PrintRecord
from intake.flow.shelves.shelf_state import Filing, Shelf, read_shelves
from intake.identifiers.own import serial_of
from intake.model.changes import ActionKind, Change, made
from intake.model.editions import BookSet, Copy, Edition
from intake.model.papers import LabelContent, LabelTemplate, LabelUse
from intake.model.shelving import Key, Printed
from intake.shelving.collation import filing_title
from intake.units.language import say, term

SUBTITLE = re.compile(r"[:(\[]")
CALL_NUMBERS = {Key.DEWEY, Key.CONGRESS}
TITLES = {
    LabelUse.SHELF: term("Shelf labels"),
    LabelUse.FLAG: term("Copy flags"),
    LabelUse.SPINE: term("Spine labels"),
    LabelUse.BOX: term("Box labels"),
}
ACTIONS = {
    LabelUse.SHELF: ActionKind.PRINT_SHELF_LABELS,
    LabelUse.FLAG: ActionKind.PRINT_FLAG_LABELS,
    LabelUse.SPINE: ActionKind.PRINT_SPINE_LABELS,
}
"""What the ledger calls the printing of labels that are printed again only where they changed."""


class UnchangedError(RefusedError):
    """Only labels that changed were asked for, and every label says what it said when last printed."""


@dataclass(frozen=True, slots=True)
class LabelRun:
    """The labels of one run.

    Attributes:
        contents: the texts of each.
        printed: what the library is to remember of them once they are printed.
    """

    use: LabelUse
    contents: tuple[LabelContent, ...]
    printed: tuple[Change, ...] = ()


def gather_shelf_labels(source: PaperSource, options: PaperOptions) -> LabelRun:
    """Gather where each shelf is, its subject, and the first and the last book on it."""
    reader = source.reader
    chosen = [find_shelf(reader, text) for text in options.shelves] or None
    filing = Filing(reader)
    contents: list[LabelContent] = [
        {
            "number": shelf.place.number,
            "shelfmark": shelf.name,
            "room": shelf.path.room,
            "place": names_joined(shelf.path.in_room),
            "range": range_words(shelf, filing),
        }
        for shelf in read_shelves(reader, chosen)
    ]
    return _run(reader, LabelUse.SHELF, contents, options)


def gather_copy_flags(source: PaperSource, options: PaperOptions) -> LabelRun:
    """Gather what the slip inserted into each copy says."""
    pairs = _chosen_copies(source.reader, options.copies)
    sets = {edition.set_id for _, edition in pairs if edition.set_id is not None}
    titles = {book_set.id: book_set.title for book_set in source.reader.get_many(BookSet, sets).values()}
    contents: list[LabelContent] = [
        {
            "number": copy.accession,
            "shelfmark": copy.shelfmark,
            "title": edition.title,
            "contributors": "; ".join(edition.contributors),
            "volume": volume_words(edition),
            "set": titles.get(edition.set_id or 0, ""),
            "edition": edition_words(edition),
            "isbn": written_number(edition),
            "box": copy.box or "",
            "note": copy.note,
        }
        for copy, edition in pairs
    ]
    return _run(source.reader, LabelUse.FLAG, contents, options)


def gather_spine_labels(source: PaperSource, options: PaperOptions) -> LabelRun:
    """Gather what the label on each jacket cover or slipcase says: its shelfmark or title, as chosen, and volume."""
    by_call_number = CALL_NUMBERS & set(shelf_ordering(source.reader).keys)
    contents: list[LabelContent] = []
    for copy, edition in _chosen_copies(source.reader, options.copies):
        shelfmark = edition.call_number if by_call_number and edition.call_number else copy.shelfmark
        heading = {"title": _short_title(edition.title)}
        if options.spine_text is SpineText.SHELFMARK:
            heading = {"shelfmark": shelfmark}
        contents.append({"number": copy.accession, "volume": volume_words(edition), **heading})
    return _run(source.reader, LabelUse.SPINE, contents, options)


def lay_out_labels(run: LabelRun, options: PaperOptions) -> PaperPages:
    """Set labels on their stock.

    Raises:
        UsageError: the template has no fields for this use, or none for the title that was chosen.
        FileError: the template is a person's own file that cannot be read.
    """
    template = templates.read(options.template, run.use)
    if run.use is LabelUse.SPINE and options.spine_text is SpineText.TITLE:
        template = _with_title(template)
    pages = labels.lay_out(template, run.contents, start=options.start, used=options.used, measure=fonts.measure)
    return PaperPages(title=say(TITLES[run.use]), pages=pages, labels=len(run.contents))


def _with_title(template: LabelTemplate) -> LabelTemplate:
    """Return a template of spine labels with the title where it has the shelfmark."""
    fields = tuple(replace(field, text=field.text.replace("{shelfmark}", "{title}")) for field in template.fields)
    if not any("{title}" in field.text for field in fields):
        raise UsageError(
            f"The template {template.name}", "has no field for a title", 'give it one with text = "{shelfmark}"'
        )
    return replace(template, fields=fields)


def gather_label_check(_source: PaperSource, options: PaperOptions) -> LabelTemplate:
    """Read the geometry of the template whose printing is to be checked."""
    return templates.read_sheet(options.template)


def lay_out_label_check(template: LabelTemplate, _options: PaperOptions) -> PaperPages:
    """Set the page with which a printer's scale is checked; what to do is told beside it, too."""
    return PaperPages(
        title=say("Check of the printer"),
        pages=label_check.lay_out(template, measure=fonts.measure),
        notices=label_check.remedies(template),
    )


@dataclass(frozen=True, slots=True)
class LabelStock:
    """A sheet of labels, for a form in which the used ones are crossed out; a roll has one column and one row."""

    name: str
    columns: int
    rows: int


def label_stock(name: str) -> LabelStock:
    """Return how many labels a template has, one of those that come with the tool.

    Raises:
        UsageError: there is no such template.
    """
    columns, rows = templates.labels_on(name)
    return LabelStock(name, columns, rows)


def template_names() -> tuple[str, ...]:
    """Return the names of the templates that come with the tool."""
    return templates.names()


def labels_to_record(run: LabelRun) -> PrintRecord | None:
    """Return what the library is to remember once the labels are printed; None where it knows all of it."""
    return PrintRecord(ACTIONS[run.use], run.printed) if run.printed else None


def range_words(shelf: Shelf, filing: Filing) -> str:
    """Write what stands on a shelf ("Birds: Auks – Terns"); the subject alone on an empty one."""
    editions = [edition for _, edition in (*shelf.standing[:1], *shelf.standing[-1:])]
    ends = dict.fromkeys(filter(None, (_filed_as(edition, filing) for edition in editions)))
    return ": ".join(part for part in (shelf.place.subject, " – ".join(ends)) if part)


def _chosen_copies(reader: LibraryReader, texts: Sequence[str]) -> list[tuple[Copy, Edition]]:
    """Return the copies named, in that order, or all that stand on shelves, by number; each with its edition."""
    if not texts:
        return sorted(shelved_copies(reader), key=lambda pair: serial_of(pair[0].accession))
    copies = [find_copy(reader, text) for text in texts]
    for copy in copies:
        refuse_withdrawn(copy)
    accessions = [copy.accession for copy in copies]
    pairs = copies_with_editions(reader, accessions)
    return [pairs[accession] for accession in accessions]


def _run(reader: LibraryReader, use: LabelUse, contents: Iterable[LabelContent], options: PaperOptions) -> LabelRun:
    """Return the labels to print, and what is to be remembered of those that changed since they were last printed.

    Raises:
        UnchangedError: only those that changed were asked for, and none did.
    """
    contents = tuple(contents)
    now = [_printed(use, content) for content in contents]
    before = printed_labels(reader, (printed.label for printed in now))
    is_changed = [printed != before.get(printed.label) for printed in now]
    changes = dict.fromkeys(
        change
        for printed, changed in zip(now, is_changed, strict=True)
        if changed
        for change in _change(before.get(printed.label), printed)
    )
    if options.only_changed and contents:
        contents = tuple(content for content, changed in zip(contents, is_changed, strict=True) if changed)
        if not contents:
            raise UnchangedError("Every label", "says what it said when last printed", "print all of them instead")
    return LabelRun(use, contents, tuple(changes))


def _change(before: Printed | None, now: Printed) -> tuple[Change, ...]:
    return made(now) if before is None else (Change(before, replace(before, words=now.words)),)


def _printed(use: LabelUse, content: LabelContent) -> Printed:
    words = "\n".join(f"{key}: {text}" for key, text in sorted(content.items()) if text)
    return Printed(label=f"{use} {content['number']}", words=words)


def _filed_as(edition: Edition, filing: Filing) -> str:
    """Return the words under which the rule files an edition: call number, author, or title."""
    first = next((key for key in filing.rule.keys if key not in (Key.SUBJECT, Key.SIZE)), Key.TITLE)
    if first in CALL_NUMBERS and edition.call_number:
        return edition.call_number
    if first == Key.AUTHOR and edition.contributors:
        name = edition.contributors[0]
        return name.split(",")[0] if "," in name else name.rpartition(" ")[2]
    whole = filing_title(filing.set_titles.get(edition.set_id or 0, "") or edition.title, edition.language)
    title = _short_title(whole)
    return f"{title} {edition.volume}".strip() if edition.set_id is not None else title


def _short_title(title: str) -> str:
    """Return a title without its subtitle."""
    return SUBTITLE.split(title, maxsplit=1)[0].strip() or title
