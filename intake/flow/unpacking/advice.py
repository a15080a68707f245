"""What to tell a person about the copy in the hand: where it goes and what is special about it."""

from dataclasses import dataclass

from intake.edges.store.queries.copies import copies_in_state, copies_of_editions
from intake.edges.store.queries.editions import editions_of_set
from intake.edges.store.queries.shelves import place_path
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import path_words, volume_words
from intake.flow.shelves.find_room import find_room
from intake.model.editions import BookSet, Copy, CopyState, Edition


@dataclass(frozen=True, slots=True)
class Advice:
    """Where a copy goes, and what is worth saying.

    Attributes:
        shelf: number of the suggested shelf; None where none is fit or known.
        where: its name from the room down, and why that one.
        remarks: one sentence each.
        steps: what to do with the hands to get it there, one sentence each.
    """

    shelf: str | None
    where: str
    remarks: tuple[str, ...]
    steps: tuple[str, ...] = ()


def advise(records: LibraryReader, copy: Copy, edition: Edition) -> Advice:
    """Say where a copy goes, and what is special about it."""
    room = find_room(records, copy, edition)
    remarks = (*room.remarks, *_remarks(records, copy, edition))
    if room.shelf is None:
        return Advice(None, f"no shelf with room for it is known ({room.reason})", remarks)
    where = f"{path_words(place_path(records, room.shelf.place))} ({room.reason})"
    return Advice(room.shelf.place.number, where, remarks, room.sentences)


def _remarks(records: LibraryReader, copy: Copy, edition: Edition) -> tuple[str, ...]:
    remarks: list[str] = []
    if edition.set_id is not None:
        remarks += _set_remarks(records, edition, edition.set_id)
    if copy.wrapped:
        remarks.append("Still wrapped: nothing is known of the inside. Cut away from the book, not towards it.")
    if copy.grade is None:
        remarks.append("Not yet inspected.")
    return tuple(remarks)


def _set_remarks(records: LibraryReader, edition: Edition, set_id: int) -> list[str]:
    """Say where the other volumes of the set are."""
    book_set = records.get(BookSet, set_id)
    title = book_set.title if book_set else edition.title
    remarks = [f"{volume_words(edition)} of the set '{title}'."] if edition.volume else []
    for other in editions_of_set(records, set_id):
        copies = copies_of_editions(records, [other.id]) if other.id != edition.id else []
        for copy in copies:
            if copy.state is CopyState.PACKED:
                remarks.append(f"{volume_words(other)} is still in box {copy.box}.")
            elif copy.state is CopyState.MISSING:
                remarks.append(f"{volume_words(other)} is missing.")
    return remarks


SHOWN = 12
"""Unpacked copies that are shown with their places; the next ones come when these stand."""


def waiting_copies(records: LibraryReader) -> tuple[tuple[Copy, Edition, str, str], ...]:
    """List unpacked copies that stand nowhere yet: the copy, its edition, the shelf's number and its name."""
    placed: list[tuple[Copy, Edition, str, str]] = []
    for copy, edition in copies_in_state(records, CopyState.UNPACKED, SHOWN):
        advice = advise(records, copy, edition)
        placed.append((copy, edition, advice.shelf or "", advice.where))
    return tuple(placed)
