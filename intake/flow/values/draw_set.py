"""Sets as strips of their volumes with the gaps, drawn and in words; and the list of sets, a page at a time."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.documents.set_strips import lay_out_strip
from intake.edges import fonts, svg
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import editions_of_sets
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.list_filter import ListFilter, read_filter
from intake.flow.lookup.wording import volumes_words, where_each_is
from intake.flow.values.set_words import set_remarks
from intake.model.editions import BookSet, CopyState
from intake.model.set_strips import DrawnSet, DrawnSpine, SpineFill
from intake.model.volumes import Number, volume_numbers
from intake.units.counts import counted
from intake.units.paging import first_of_page
from intake.valuing.sets import SetState, Volume, set_state

MOST_DRAWN = 120
"""Volumes that are drawn; what is left out is said."""
_BEST = (CopyState.SHELVED, CopyState.UNPACKED, CopyState.AT_HAND, CopyState.PACKED, CopyState.MISSING)
"""Of several copies the one that is drawn."""
_FILLS = {
    CopyState.SHELVED: SpineFill.FILLED,
    CopyState.UNPACKED: SpineFill.HALF,
    CopyState.AT_HAND: SpineFill.HALF,
    CopyState.PACKED: SpineFill.HATCHED,
    CopyState.MISSING: SpineFill.CROSSED,
}


@dataclass(frozen=True, slots=True)
class SetStrip:
    """A set as a page shows it.

    Attributes:
        drawing: as SVG; empty where nothing of the set is known.
        volumes: each volume of the catalog or the gaps, with where it is, in words, and the id of its edition.
        words: how complete it is, in one sentence.
        remarks: what is odd about its volumes, and what is not drawn.
    """

    set: BookSet
    drawing: str
    volumes: tuple[tuple[str, str, int | None], ...]
    words: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SetList:
    """One page of the list of sets, by title: `begin` of the `matching` ones come before it, of `total` in all."""

    strips: tuple[SetStrip, ...]
    matching: int
    total: int
    begin: int
    typed: ListFilter


def set_list(reader: LibraryReader, text: str, begin: int, count: int) -> SetList:
    """Return a page of the list of sets, the last one where it is asked for beyond the end."""
    typed = read_filter(reader, text)
    every = reader.all(BookSet)
    of_copies = {edition.set_id for edition in typed.editions}
    matching = [one for one in every if typed.is_empty or one.id in of_copies or typed.names([one.title])]
    matching.sort(key=lambda one: (one.title.casefold(), one.id))
    begin = first_of_page(begin, len(matching), count)
    return SetList(strips_of(reader, matching[begin : begin + count]), len(matching), len(every), begin, typed)


def set_strip(reader: LibraryReader, set_id: int | None) -> SetStrip | None:
    """Return one set as a strip; None where there is no such set."""
    book_set = None if set_id is None else reader.get(BookSet, set_id)
    return None if book_set is None else strips_of(reader, [book_set])[0]


def strips_of(reader: LibraryReader, sets: Sequence[BookSet]) -> tuple[SetStrip, ...]:
    """Return sets as strips, in a few statements for all."""
    editions = editions_of_sets(reader, [one.id for one in sets])
    set_of = {edition.id: number for number, of_set in editions.items() for edition in of_set}
    every = copies_of_editions(reader, set_of)
    where = where_each_is(reader, every)
    strips = []
    for one in sets:
        copies = [copy for copy in every if set_of[copy.edition_id] == one.id]
        state = set_state(one, editions.get(one.id, ()), copies)
        by_name = {edition.volume: edition.id for edition in reversed(editions.get(one.id, ()))}
        strips.append(_strip(state, where, by_name))
    return tuple(strips)


def _strip(state: SetState, where: dict[str, str], editions: dict[str, int]) -> SetStrip:
    spines = [_spine(volume, where) for volume in state.volumes]
    named = {spine.name for spine in spines}
    spines += [_absent(name) for name in state.gaps if name not in named]
    spines.sort(key=lambda spine: _order(spine.name))
    words = _complete_words(state)
    left_out = len(spines) - MOST_DRAWN
    more = (f"{counted(left_out, 'volume is', 'volumes are')} not drawn; the list has all.",) if left_out > 0 else ()
    drawing = ""
    if spines:
        told = "; ".join(f"{spine.name or 'without a number'}: {spine.words}" for spine in spines)
        page = lay_out_strip(DrawnSet(tuple(spines[:MOST_DRAWN])), measure=fonts.measure)
        drawing = svg.draw(page, title=f"{state.set.title}. {words} {told}.")
    volumes = tuple((spine.name, spine.words, editions.get(spine.name)) for spine in spines)
    odd = (f"{remark[:1].upper()}{remark[1:]}." for remark in set_remarks(state))
    return SetStrip(state.set, drawing, volumes, words, (*odd, *more))


def _spine(volume: Volume, where: dict[str, str]) -> DrawnSpine:
    copy = next((copy for state in _BEST for copy in volume.copies if copy.state is state), None)
    if copy is None:
        return DrawnSpine(volume.name, SpineFill.OPEN, "in the catalog, but no copy of it is here")
    others = f"; {counted(len(volume.copies), 'copy', 'copies')} in all" if len(volume.copies) > 1 else ""
    place = f", {where[copy.accession]}" if where.get(copy.accession) else ""
    return DrawnSpine(volume.name, _FILLS[copy.state], f"copy {copy.accession}, {copy.state}{place}{others}")


def _absent(name: str) -> DrawnSpine:
    return DrawnSpine(name, SpineFill.OPEN, "not in the collection")


def _complete_words(state: SetState) -> str:
    present = sum(any(copy.state is not CopyState.MISSING for copy in volume.copies) for volume in state.volumes)
    books = f"{counted(present, 'volume')} here"
    if state.gaps:
        return f"{books}; not here: {volumes_words(state.gaps)}."
    return f"{books}; complete." if state.complete else f"{books}; no gap known, but not how many there should be."


def _order(name: str) -> tuple[bool, tuple[Number, ...], str]:
    numbers = volume_numbers(name)
    return not numbers, numbers[:1], name
