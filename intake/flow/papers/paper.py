"""What a paper is: one record, from which every surface offers it and `intake.flow.papers.render` makes it."""

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Generic, TypeVar

from intake.edges.sheets import Cell, SplitBy
from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.flow.papers.options import PaperOption, PaperOptions
from intake.model.changes import ActionKind, Change
from intake.model.pages import Page


class PaperGroup(StrEnum):
    """What papers are about; the value is the heading over them."""

    LABELS = "Labels"
    BOXES = "Boxes and the move"
    LISTS = "Lists for insurer, carrier and customs"
    SHELVES = "Shelves"
    COPY = "Single copies"


class PaperFormat(StrEnum):
    """The kinds of file that a paper can be; the value is the suffix of the file's name."""

    PDF = "pdf"
    XLSX = "xlsx"
    CSV = "csv"
    SVG = "svg"
    ZIP = "zip"
    """Web pages that need no server, in one archive; a name without a suffix means the folder that it unpacks to."""


PAGES = (PaperFormat.PDF,)
PAGES_AND_TABLE = (PaperFormat.PDF, PaperFormat.XLSX, PaperFormat.CSV)
PAGES_AND_SITE = (PaperFormat.PDF, PaperFormat.ZIP)
DRAWING = (PaperFormat.PDF, PaperFormat.SVG)


@dataclass(frozen=True, slots=True)
class PaperSource:
    """Where a paper gathers its content.

    Attributes:
        library: whose folder holds the photographs.
        reader: of the library at one moment.
        on: the day of the paper.
        form: the kind of file that is made of it; only pages show photographs.
    """

    library: Library
    reader: LibraryReader
    on: date
    form: PaperFormat


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperPages:
    """A paper as pages.

    Attributes:
        title: shown by viewers instead of the file's name.
        author: whose list it is.
        proof: the words of its proof; empty where it has none.
        labels: how many labels are on the pages; None where there are no labels.
        notices: what the person who makes the paper is told beside it, such as which rates are missing.
    """

    title: str
    pages: Sequence[Page]
    author: str = ""
    proof: str = ""
    labels: int | None = None
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperTable:
    """A paper as a table.

    Attributes:
        title: of the sheet.
        totals: column to be added up -> the column, or columns, by whose values the sum is split; None for one sum.
        notes: what the pages say beside the lines: totals, what is left out, what is to be asked.
        proof: the words of its proof; empty where it has none.
        notices: as in `PaperPages`.
    """

    title: str
    header: tuple[str, ...]
    rows: Iterable[Sequence[Cell]]
    totals: Mapping[str, SplitBy] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    proof: str = ""
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PrintRecord:
    """What the library is to remember once a paper is printed: the changes, and what was done."""

    action: ActionKind
    changes: tuple[Change, ...]

    @property
    def mark(self) -> str:
        """Return a digest of all it says, by which a later request names just this."""
        return hashlib.sha256(repr((self.action, self.changes)).encode()).hexdigest()


def nothing_to_record(_content: object) -> PrintRecord | None:
    """Return nothing: most papers leave no trace in the library."""
    return None


Content = TypeVar("Content")


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper(Generic[Content]):
    """One paper.

    Attributes:
        name: as on the command line and in the name of the file.
        title: as on a page of the desk.
        summary: what it is, in one line.
        options: which fields of `PaperOptions` it heeds, in the order in which they are asked for.
        defaults: the options where nothing is chosen.
        formats: the kinds of file it can be, the usual one first.
        gather: reads everything it says, as finished texts and numbers.
        lay_out: sets that on pages.
        tabulate: sets that in a table; None where it has no such format.
        as_site: makes web pages of it (name of a file -> its bytes), and what the person is told beside them; None
            where it has no such format.
        parts: the option whose things each have pages of their own, so that they are looked at one at a time; empty
            where the pages belong together.
        to_record: what the library is to remember once the paper is printed.
        copies_on: the own numbers of the copies that it lists, in their order; None for a paper that never tells why
            copies are kept.
        is_acted_on: whether an insurer, a carrier or an office acts on it, so that none is made of a library that is
            not as its ledger left it.
    """

    name: str
    title: str
    summary: str
    group: PaperGroup
    options: tuple[PaperOption, ...]
    defaults: PaperOptions = field(default_factory=PaperOptions)
    formats: tuple[PaperFormat, ...] = PAGES
    gather: Callable[[PaperSource, PaperOptions], Content]
    lay_out: Callable[[Content, PaperOptions], PaperPages]
    tabulate: Callable[[Content, PaperOptions], PaperTable] | None = None
    as_site: Callable[[Content], tuple[Mapping[str, bytes], tuple[str, ...]]] | None = None
    parts: str = ""
    to_record: Callable[[Content], PrintRecord | None] = nothing_to_record
    copies_on: Callable[[Content], Iterable[str]] | None = None
    is_acted_on: bool = False

    @property
    def is_remembered(self) -> bool:
        """Return whether the library remembers what it said when it was printed."""
        return self.to_record is not nothing_to_record
