"""A collection as a book: its entries, grouped, and the index of names, titles and serials."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from intake.model.schedules import Photograph


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerStrip:
    """What a copy has of one line of a serial: spans of places, among so many."""

    words: str
    size: int
    spans: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueEntry:
    """One copy.

    Attributes:
        number: the running number, by which the index names it.
        description: in the trade's order: edition, contributors, publisher and year, pages and size.
        facts: names and texts; those without a text are left out.
        strips: what it collects, drawn on its serials' rulers.
        why: why it is kept, in the person's words.
        cover: None where no picture is kept.
    """

    number: int
    copy: str
    title: str
    description: str
    facts: tuple[tuple[str, str], ...]
    strips: tuple[RulerStrip, ...] = ()
    why: str = ""
    cover: Photograph | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectionCatalogue:
    """The whole book.

    Attributes:
        groups: the heading of each, and its entries.
        indexes: the heading of each index, and its words with the numbers of their entries.
        left_out: what is not in it, as it is printed.
        owner: whose books they are and where they are kept, where that was asked for.
        notices: what could not be read, for the person who prints it.
    """

    title: str
    on: date
    groups: Sequence[tuple[str, Sequence[CatalogueEntry]]]
    indexes: Sequence[tuple[str, Sequence[tuple[str, Sequence[int]]]]]
    left_out: str
    owner: str = ""
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptReason:
    """Why a copy is kept, in the owner's words: its own, or else those of its edition."""

    copy: str
    title: str
    words: str
