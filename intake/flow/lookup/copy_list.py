"""The list of all copies, filtered by what was typed and by state, a page at a time, with covers."""

from collections.abc import Mapping
from dataclasses import dataclass

from intake.edges.store.queries.copy_list import CopyChoice, copy_page, count_copies_by_state, edition_page
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.covers_shown import copy_covers
from intake.flow.lookup.list_filter import ListFilter, read_filter
from intake.flow.lookup.search import EditionLine, edition_lines
from intake.flow.lookup.wording import edition_words, title_words, where_each_is
from intake.model.editions import Copy, CopyState, Edition
from intake.model.identifiers import OwnKind
from intake.units.paging import first_of_page

MOST_COPIES = 500
"""Copies that a typed text is taken to mean; what is left out is said."""


@dataclass(frozen=True, slots=True)
class CopyInList:
    """A copy in a list: its edition in words, and where it is."""

    copy: Copy
    edition: Edition
    title: str
    words: str
    where: str


@dataclass(frozen=True, slots=True)
class CopyList:
    """One page of the list of copies.

    Attributes:
        rows: by number, or by state and number where they are grouped.
        matching: how many match; `begin` of them come before this page.
        total: how many copies the collection has.
        by_state: how many match but for the state that was chosen, by state.
        covers: by copy, the SHA-256 of a photograph.
        left_out: how many copies that the text means were not looked at.
    """

    rows: tuple[CopyInList, ...]
    matching: int
    total: int
    begin: int
    by_state: Mapping[CopyState, int]
    covers: Mapping[str, str]
    typed: ListFilter
    left_out: int = 0


def copy_list(
    reader: LibraryReader, text: str, state: CopyState | None, begin: int, count: int, *, by_state: bool
) -> CopyList:
    """Return a page of the list of copies, the last one where it is asked for beyond the end."""
    typed = read_filter(reader, text, listed=OwnKind.COPY)
    named = [copy.accession for copy in typed.copies]
    own = [typed.own] if typed.own else []
    copies = None if typed.is_empty else named[:MOST_COPIES]
    choice = CopyChoice(copies, own, state)
    counts = count_copies_by_state(reader, choice)
    everything = sum(counts.values()) if typed.is_empty else sum(count_copies_by_state(reader, CopyChoice()).values())
    matching = sum(counts.values()) if state is None else counts.get(state, 0)
    begin = first_of_page(begin, matching, count)
    pairs = copy_page(reader, choice, begin, count, by_state=by_state)
    where = where_each_is(reader, [copy for copy, _ in pairs])
    rows = tuple(
        CopyInList(copy, edition, title_words(edition), edition_words(edition), where[copy.accession])
        for copy, edition in pairs
    )
    covers = copy_covers(reader, [copy.accession for copy, _ in pairs])
    return CopyList(rows, matching, everything, begin, counts, covers, typed, max(0, len(named) - MOST_COPIES))


def catalog_page(reader: LibraryReader, begin: int, count: int, total: int) -> tuple[tuple[EditionLine, ...], int]:
    """Return some editions by their titles, each with its copies, and how many come before them."""
    begin = first_of_page(begin, total, count)
    return edition_lines(reader, edition_page(reader, begin, count)), begin
