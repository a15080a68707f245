"""The list of an open box, for a station that has lost its connection: what a scan would be, and where it would go.

A browser keeps it and answers from it at once, marked as not yet booked; the desk answers anew when it has the scan.
"""

from dataclasses import dataclass

from intake.edges.store.queries.copies import unseen_in_box
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import edition_words, path_words, title_words
from intake.flow.shelves.find_room import find_rooms

MOST = 300
"""Copies of one box for which a place is looked for."""


@dataclass(frozen=True, slots=True)
class OfflineLine:
    """One copy that is still in the box.

    Attributes:
        number: of its edition, 13 digits; empty where it has none.
        goes: the shelf, from the room down, as far as that is known now; empty where no shelf has room, or where none
            was looked for.
    """

    copy: str
    number: str
    title: str
    edition: str
    goes: str


def offline_lines(records: LibraryReader, box: str) -> tuple[OfflineLine, ...]:
    """Return what is still in a box, each with its place as if it were the next to be shelved."""
    pairs = unseen_in_box(records, box)
    tried = pairs[:MOST]
    goes = {
        copy.accession: path_words(room.shelf.path)
        for (copy, _), room in zip(tried, find_rooms(records, tried), strict=True)
        if room.shelf is not None
    }
    return tuple(
        OfflineLine(
            copy=copy.accession,
            number=edition.number or "",
            title=title_words(edition),
            edition=edition_words(edition),
            goes=goes.get(copy.accession, ""),
        )
        for copy, edition in pairs
    )
