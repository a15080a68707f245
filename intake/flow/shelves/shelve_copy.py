"""Copies are put on the shelf that a person names, and get the shelfmarks of the places where they now stand.

What the shelf cannot take is reported and not refused: the copies stand there already.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from intake.edges.store.library import Library
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, about_field
from intake.flow.lookup.plan_again import plan_again
from intake.flow.lookup.resolve import find_copy, find_shelf
from intake.flow.shelves.find_room import apply_shelving, check_unpacked
from intake.flow.shelves.load_words import excess_words
from intake.flow.shelves.shelf_layout import plan_layout
from intake.flow.shelves.shelf_state import Filing, Pair, as_book
from intake.model.changes import LedgerEntry
from intake.model.editions import Copy, Edition
from intake.model.places import Place
from intake.model.shelving import Book
from intake.shelving.excess import Excess, ShelfLimit, find_excess
from intake.shelving.make_room import find_slot


@dataclass(frozen=True, slots=True)
class Shelved:
    """Copies as they now stand.

    Attributes:
        copies: in the order in which they were named.
        excess: what of that shelf its books now exceed; heights and depths of these copies alone.
        entry: of the ledger, that of the first time where a request came twice.
    """

    copies: tuple[Copy, ...]
    excess: tuple[Excess, ...]
    entry: LedgerEntry


def shelved_lines(shelved: Shelved) -> tuple[str, ...]:
    """Write where each copy stands, and what the books need that the shelf does not have."""
    name = shelved.copies[-1].shelfmark
    stand = (f"Copy {copy.accession} stands at {copy.shelfmark}." for copy in shelved.copies)
    return (*stand, *(excess_words(excess, name) for excess in shelved.excess))


def shelved_words(shelved: Shelved) -> str:
    """Write the same in one paragraph."""
    return " ".join(shelved_lines(shelved))


def copies_named(text: str) -> list[str]:
    """Split a line with the numbers of several copies; one number that is typed with spaces stays whole.

    >>> copies_named("A1-59 A2-50, a3-41"), copies_named("A 1-59")
    (['A1-59', 'A2-50', 'a3-41'], ['A 1-59'])
    """
    parts = [part for part in re.split(r"[\s,;]+", text) if part]
    several = len(parts) > 1 and all(re.match(r"[Aa]\d", part) for part in parts)
    return parts if several else [text]


def shelve(
    library: Library,
    copy_text: str,
    shelf_text: str,
    *,
    behind: str = "",
    station: str,
    now: datetime,
    request: str | None = None,
) -> Shelved:
    """Put one copy on a shelf, or those that a line names; see `shelve_all`."""
    texts = copies_named(copy_text)
    return shelve_all(library, texts, shelf_text, behind=behind, station=station, now=now, request=request)


def shelve_all(
    library: Library,
    copy_texts: Sequence[str],
    shelf_text: str,
    *,
    behind: str = "",
    station: str,
    now: datetime,
    request: str | None = None,
) -> Shelved:
    """Put copies on a shelf, all of them or none, in one entry of the ledger.

    Where another station puts a copy on the shelf meanwhile, the row is looked at once more, as it is then.

    Args:
        library: where it is booked.
        copy_texts: the copies' numbers.
        shelf_text: the shelf's number.
        behind: the copy on that shelf that the first stands behind, and each of the others behind the one before; else
            each takes its place in the person's order.
        station: who does it.
        now: when, in UTC.
        request: an id made by the station; the same id twice changes nothing the second time.

    Raises:
        RefusedError: a copy or the shelf does not exist, a copy is still packed in a box or named twice, or other
            stations change the shelf again and again.
    """
    return plan_again(partial(_shelve_once, library, copy_texts, shelf_text, behind, station, now, request=request))


def _shelve_once(
    library: Library,
    copy_texts: Sequence[str],
    shelf_text: str,
    behind: str,
    station: str,
    now: datetime,
    *,
    request: str | None,
) -> Shelved:
    with library.reading() as reader:
        with about_field("shelf"):
            shelf = find_shelf(reader, shelf_text)
        copies: list[Copy] = []
        for text in copy_texts:
            with about_field("copy"):
                copy = find_copy(reader, text)
                check_unpacked(copy)
            if copy in copies:
                raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once", field="copy")
            copies.append(copy)
        editions = reader.get_many(Edition, [copy.edition_id for copy in copies])
        pairs = [(copy, editions[copy.edition_id]) for copy in copies]
        standing = copies_on_shelves(reader, [shelf.number])[shelf.number]
        own = {copy.accession for copy in copies}
        others = [pair for pair in standing if pair[0].accession not in own]
        changes = plan_layout(reader, [(shelf.number, row_with(reader, pairs, shelf, others, behind))])
    shelved, entry = apply_shelving(library, copies, shelf, changes, station=station, now=now, request=request)
    excess = excess_of(shelf, [as_book(*pair) for pair in pairs], [as_book(*pair) for pair in others])
    return Shelved(shelved, excess, entry)


def excess_of(shelf: Place, own: Sequence[Book], others: Iterable[Book]) -> tuple[Excess, ...]:
    """Return what the shelf lacks for all its books together, and in height and depth for these alone."""
    single = (ShelfLimit.HEIGHT, ShelfLimit.DEPTH)
    together = (excess for excess in find_excess(shelf, (*own, *others)) if excess.limit not in single)
    alone = (excess for excess in find_excess(shelf, own) if excess.limit in single)
    return (*together, *alone)


def row_with(
    reader: LibraryReader, pairs: Sequence[Pair], shelf: Place, others: Sequence[Pair], behind: str
) -> list[str]:
    """Return the copies on the shelf from the left as they will stand."""
    row = list(others)
    if behind:
        with about_field("behind"):
            neighbour = find_copy(reader, behind).accession
        at = next((nth for nth, (copy, _) in enumerate(row, 1) if copy.accession == neighbour), None)
        if at is None:
            raise RefusedError(
                f"Copy {neighbour}", f"does not stand on shelf {shelf.number}", "name one that does", field="behind"
            )
        return [copy.accession for copy, _ in (*row[:at], *pairs, *row[at:])]
    filing = Filing(reader)
    for copy, edition in pairs:
        _, at = find_slot([[filing.key(other) for _, other in row]], filing.key(edition))
        row.insert(at, (copy, edition))
    return [copy.accession for copy, _ in row]
