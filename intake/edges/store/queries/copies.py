"""Which copies there are, in which box, place or state.

What is on a box's list is defined once, by `listed_in_box`: the copies that were packed into it, wherever they are now.
What came out of it and was on no list bears its number too, and is told from these by `is_surplus`. A copy that was
withdrawn is on no list any more; only `copies_ever_of_editions`, `copies_in_boxes` and what tells how things travelled
(`box_contents_as_packed`, `consignment_contents`) still return it.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Select, and_, func, not_, or_, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, in_lots
from intake.edges.store.queries.boxes import in_consignment, is_surplus
from intake.edges.store.queries.editions import carries_number
from intake.edges.store.queries.withdrawals import is_held, was_withdrawn_from_box
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values, state_of
from intake.edges.store.tables import TABLES
from intake.model.boxes import Box, BoxState
from intake.model.editions import UNSEEN, Copy, CopyState, Edition

_EDITION = TABLES[Edition].c

_COPY = TABLES[Copy].c
BY_NUMBER = (func.length(_COPY.accession), _COPY.accession)
"""The order of copies by their numbers, in which A2 comes before A11."""

CopyPair = tuple[Copy, Edition]
"""A copy with its edition."""


def listed_in_box(number: str) -> ColumnElement[bool]:
    """Return the condition that a copy is on the list of a box."""
    return and_(_COPY.box == number, is_held(), not_(is_surplus()))


def listed_in_consignment(reference: str | None) -> ColumnElement[bool]:
    """Return the condition that a copy is on the list of a box of a consignment, or of any box for None.

    One that was withdrawn after it had come out of its box travelled all the same, and is among these.
    """
    return and_(in_consignment(_COPY.box, reference), not_(is_surplus()), not_(was_withdrawn_from_box()))


def select_pairs(*where: ColumnElement[bool]) -> Select[Any]:
    """Select the copies of which this holds, each with its edition, by number."""
    named = (column.label(f"edition_{column.name}") for column in COLUMNS[Edition])
    joined = TABLES[Copy].join(TABLES[Edition], _COPY.edition_id == _EDITION.id)
    return select(*COLUMNS[Copy], *named).select_from(joined).where(*where).order_by(_COPY.accession)


def pairs_of(reader: LibraryReader, selected: Select[Any]) -> Iterator[CopyPair]:
    """Yield what `select_pairs` selects."""
    count = len(COLUMNS[Copy])
    for row in map(tuple, reader.connection.execute(selected.execution_options(yield_per=1000))):
        yield from_values(Copy, row[:count]), from_values(Edition, row[count:])


def copies_of_editions(reader: LibraryReader, edition_ids: Collection[int]) -> tuple[Copy, ...]:
    """Return the copies of these editions."""
    return tuple(copy for copy in copies_ever_of_editions(reader, edition_ids) if copy.state is not CopyState.WITHDRAWN)


def copies_ever_of_editions(reader: LibraryReader, edition_ids: Collection[int]) -> tuple[Copy, ...]:
    """Return the copies of these editions, those that were withdrawn too."""
    return fetch_any(reader.connection, Copy, _COPY.edition_id, edition_ids)


def copies_of_families(reader: LibraryReader, numbers: Iterable[str]) -> tuple[tuple[Edition, ...], tuple[Copy, ...]]:
    """Return the editions that carry one of these numbers, the other editions of their titles, and all their copies."""
    editions: dict[int, Edition] = {}
    copies: list[Copy] = []
    joined = TABLES[Edition].outerjoin(TABLES[Copy], and_(_COPY.edition_id == _EDITION.id, is_held()))
    named = (column.label(f"copy_{column.name}") for column in COLUMNS[Copy])
    statement = select(*COLUMNS[Edition], *named).select_from(joined).order_by(_EDITION.id, _COPY.accession)
    for lot in in_lots(dict.fromkeys(numbers)):
        titles = select(_EDITION.title_key).where(or_(*map(carries_number, lot)))
        for row in map(tuple, reader.connection.execute(statement.where(_EDITION.title_key.in_(titles)))):
            width = len(COLUMNS[Edition])
            edition = from_values(Edition, row[:width])
            editions[edition.id] = edition
            if row[width] is not None:
                copies.append(from_values(Copy, row[width:]))
    return tuple(editions.values()), tuple(copies)


def kin_of_copies(reader: LibraryReader, accessions: Iterable[str]) -> tuple[CopyPair, ...]:
    """Return these copies, and those of the same title or of the same set, as far as they are held."""
    theirs = select(_COPY.edition_id).where(_COPY.accession.in_(list(accessions)))
    titles = select(_EDITION.title_key).where(_EDITION.id.in_(theirs))
    sets = select(_EDITION.set_id).where(_EDITION.id.in_(theirs), _EDITION.set_id.is_not(None))
    kin = or_(_EDITION.title_key.in_(titles), _EDITION.set_id.in_(sets))
    return tuple(pairs_of(reader, select_pairs(kin, is_held())))


def copies_in_box(reader: LibraryReader, number: str) -> tuple[Copy, ...]:
    """Return the copies that are listed in a box, unpacked or not."""
    return fetch(reader.connection, Copy, listed_in_box(number))


def box_by_list(reader: LibraryReader, number: str) -> tuple[list[Copy], list[Copy]]:
    """Return the copies that are listed in a box, and those that were found in it and are on no list."""
    listed: list[Copy] = []
    surplus: list[Copy] = []
    statement = select(is_surplus(), *COLUMNS[Copy]).where(_COPY.box == number, is_held()).order_by(_COPY.accession)
    for is_one, *values in map(tuple, reader.connection.execute(statement)):
        (surplus if is_one else listed).append(from_values(Copy, values))
    return listed, surplus


def copies_in_boxes(reader: LibraryReader, boxes: Iterable[int | str]) -> tuple[Copy, ...]:
    """Return the copies that were ever listed in any of these boxes, those that were withdrawn since too."""
    return fetch_any(reader.connection, Copy, _COPY.box, boxes)


def box_contents(reader: LibraryReader, number: str) -> tuple[CopyPair, ...]:
    """Return the copies that are listed in a box, unpacked or not, each with its edition."""
    return tuple(pairs_of(reader, select_pairs(listed_in_box(number))))


def unseen_in_box(reader: LibraryReader, number: str) -> tuple[CopyPair, ...]:
    """Return the copies on a box's list that nobody has seen since they were packed, each with its edition."""
    states = _COPY.state.in_([state.value for state in UNSEEN])
    return tuple(pairs_of(reader, select_pairs(and_(listed_in_box(number), states))))


def box_contents_as_packed(reader: LibraryReader, number: str) -> tuple[CopyPair, ...]:
    """Return what was packed into a box and travelled in it, each copy with its edition, those withdrawn since too."""
    where = and_(_COPY.box == number, not_(is_surplus()), not_(was_withdrawn_from_box()))
    return tuple(pairs_of(reader, select_pairs(where)))


def consignment_contents(reader: LibraryReader, reference: str) -> tuple[CopyPair, ...]:
    """Return the copies that were listed in the boxes of a consignment, unpacked or not, each with its edition.

    It is what the carrier was given, whatever became of it: copies that were withdrawn since are among them.
    """
    return tuple(pairs_of(reader, select_pairs(listed_in_consignment(reference))))


def open_box_contents(reader: LibraryReader) -> tuple[CopyPair, ...]:
    """Return the copies that lie in open boxes, each with its edition."""
    return tuple(pairs_of(reader, select_pairs(_lies_in_open_box())))


def copies_to_pack(reader: LibraryReader, states: Iterable[CopyState]) -> Iterator[CopyPair]:
    """Yield the copies in these states that lie in no open box, each with its edition, without loading them all."""
    return pairs_of(reader, select_pairs(*_to_pack(states)))


def count_to_pack(reader: LibraryReader, states: Iterable[CopyState]) -> int:
    """Count the copies in these states that lie in no open box."""
    return reader.connection.scalar(select(func.count()).select_from(TABLES[Copy]).where(*_to_pack(states))) or 0


def _to_pack(states: Iterable[CopyState]) -> tuple[ColumnElement[bool], ...]:
    return _COPY.state.in_(sorted(state.value for state in states)), is_held(), not_(_lies_in_open_box())


def copies_at_place(reader: LibraryReader, place: str) -> tuple[CopyPair, ...]:
    """Return the copies that stand in a place, each with its edition."""
    return tuple(pairs_of(reader, select_pairs(_COPY.place == place)))


def all_copies(reader: LibraryReader) -> Iterator[CopyPair]:
    """Yield every copy of the collection with its edition, one after the other, without loading them all."""
    return pairs_of(reader, select_pairs(is_held()))


def copies_in_state(
    reader: LibraryReader, state: CopyState, limit: int, *, besides_box: str | None = None
) -> tuple[CopyPair, ...]:
    """Return the first copies by number that are in a state, each with its edition.

    Args:
        reader: of the library.
        state: the state.
        limit: how many at most.
        besides_box: leaves out the copies that are listed in this box.
    """
    where = [_COPY.state == state.value]
    if besides_box is not None:
        where.append(_COPY.box.is_distinct_from(besides_box))
    return tuple(pairs_of(reader, select_pairs(*where).order_by(None).order_by(*BY_NUMBER).limit(limit)))


def copies_per_state(reader: LibraryReader) -> dict[CopyState, int]:
    """Count the copies in each state."""
    counted = select(_COPY.state, func.count()).group_by(_COPY.state)
    return {state_of(CopyState, state, "A copy"): count for state, count in reader.connection.execute(counted)}


@dataclass(frozen=True, slots=True)
class BoxCount:
    """The copies of one box: those on its list by state, and how many came out of it that are on no list."""

    listed: Mapping[CopyState, int]
    surplus: int = 0


def counts_per_box(reader: LibraryReader, number: str | None = None) -> dict[str, BoxCount]:
    """Count the copies of one box, or of every box for None; a box without copies is left out."""
    surplus = is_surplus().label("surplus")
    where = _COPY.box.is_not(None) if number is None else _COPY.box == number
    counted = select(_COPY.box, _COPY.state, surplus, func.count()).where(where, is_held())
    listed: dict[str, dict[CopyState, int]] = {}
    found: Counter[str] = Counter()
    for box, state, is_one, count in reader.connection.execute(counted.group_by(_COPY.box, _COPY.state, "surplus")):
        of_box = listed.setdefault(box, {})
        if is_one:
            found[box] += count
        else:
            of_box[state_of(CopyState, state, f"A copy of box {box}")] = count
    return {box: BoxCount(states, found[box]) for box, states in listed.items()}


def count_packed(reader: LibraryReader, reference: str | None = None) -> int:
    """Count the copies that are still packed in the boxes of a consignment, or in any box."""
    packed = _COPY.state == CopyState.PACKED.value
    return reader.connection.scalar(select(func.count()).where(packed, listed_in_consignment(reference))) or 0


def all_accessions(reader: LibraryReader) -> tuple[str, ...]:
    """Return the number of every copy of the collection."""
    return tuple(reader.connection.scalars(select(_COPY.accession).where(is_held()).order_by(_COPY.accession)))


def _lies_in_open_box() -> ColumnElement[bool]:
    open_boxes = select(TABLES[Box].c.number).where(TABLES[Box].c.state == BoxState.OPEN.value)
    return and_(_COPY.state == CopyState.PACKED.value, _COPY.box.is_not(None), _COPY.box.in_(open_boxes))
