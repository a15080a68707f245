"""Copies come to stand on shelves in a given order: one change for each, whose position or place may be as before."""

from collections.abc import Sequence
from dataclasses import replace

from intake.edges.store.reader import LibraryReader
from intake.flow.shelves.shelf_state import name_of
from intake.model.changes import Change
from intake.model.editions import Copy, CopyState
from intake.model.places import Place

Layout = Sequence[tuple[str, Sequence[str]]]


def plan_layout(reader: LibraryReader, layout: Layout, *, new: Sequence[Copy] = ()) -> tuple[Change, ...]:
    """Plan that these copies stand on these shelves from the left; `new` are those that the same plan makes.

    The plan supposes that a copy which stands so already still does: before and after are equal in its change.
    """
    shelves = reader.get_many(Place, [number for number, _ in layout])
    bookcases = reader.get_many(Place, [shelf.parent for shelf in shelves.values() if shelf.parent])
    found = reader.get_many(Copy, [accession for _, row in layout for accession in row])
    copies: dict[int | str, Copy] = {**found, **{copy.accession: copy for copy in new}}
    changes: list[Change] = []
    for number, row in layout:
        shelf = shelves[number]
        mark = name_of(shelf, bookcases.get(shelf.parent or ""))
        for position, accession in enumerate(row, 1):
            copy = copies[accession]
            after = replace(copy, state=CopyState.SHELVED, place=number, position=position, shelfmark=mark)
            changes.append(Change(found.get(accession), after))
    return tuple(changes)
