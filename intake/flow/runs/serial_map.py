"""The map of a serial: what is known of it, which editions collect what, which copies are held and where."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache
from itertools import combinations

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.serials import collecting_editions
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError
from intake.flow.lookup.wording import title_words
from intake.flow.runs.alike_serials import may_be_one
from intake.model.editions import Copy, CopyState, Edition
from intake.model.serials import Serial
from intake.runs.notation import read_parts, read_statement, serial_key
from intake.runs.part_order import PartOrder
from intake.runs.parts import Parts, beyond, expanded, known_parts, partly
from intake.runs.spans import END, Spans, union
from intake.runs.statements import StatementFault, StatementRemark
from intake.units.language import say

NOT_HELD = frozenset({CopyState.MISSING, CopyState.WITHDRAWN})
MOST_NAMED = 10
"""Serials that a refusal lists."""


class Holding(StrEnum):
    """How an edition is held; programs read the value, people its words."""

    OWNED = "owned"
    BOXED = "boxed"
    WANTED = "wanted"

    @property
    def words(self) -> str:
        """Return it in words: no copy held says nothing of whether one is looked for."""
        return "not owned" if self is Holding.WANTED else self.value


@dataclass(frozen=True, slots=True)
class SerialEdition:
    """An edition that collects parts of a serial.

    Attributes:
        stated: what it states to collect of it.
        places: the same as places of the serial's order.
        outside: what it states that the serial is not known to have.
        is_assumed: it states an open end or whole volumes, and no person said how far these go: it may have more than
            its places.
        partly: the places of double numbers of which it states some numbers and not others; they count as its own.
        copies: those that are held.
        gone: those that are missing or were withdrawn.
        remarks: on its statement.
    """

    edition: Edition
    stated: Parts
    places: Spans
    outside: Parts
    is_assumed: bool
    partly: Spans
    copies: tuple[Copy, ...]
    gone: tuple[Copy, ...] = ()
    remarks: tuple[StatementRemark, ...] = ()

    @property
    def holding(self) -> Holding:
        """Return how it is held: boxed only where every copy still is."""
        if not self.copies:
            return Holding.WANTED
        boxed = all(copy.state is CopyState.PACKED for copy in self.copies)
        return Holding.BOXED if boxed else Holding.OWNED

    @property
    def name(self) -> str:
        """Return its title and volume."""
        return title_words(self.edition)


@dataclass(frozen=True)
class SerialMap:
    """What is known of one serial.

    Attributes:
        title: as a person gave it with its extent, else as most editions write it.
        extent: the record of its extent; None where no person gave one.
        known: the parts it is known to have.
    """

    title: str
    extent: Serial | None
    known: Parts
    order: PartOrder
    editions: tuple[SerialEdition, ...]

    @cached_property
    def volumes(self) -> Mapping[str, Spans]:
        """Return the places of each held copy, by its own number."""
        return {copy.accession: one.places for one in self.editions for copy in one.copies}

    @cached_property
    def held(self) -> Spans:
        """Return the places of what is held."""
        return union(*self.volumes.values())


@dataclass(frozen=True)
class CollectedParts:
    """All that the catalog states of serials, read.

    Attributes:
        by_serial: for each serial, by its folded title, the editions with the title as written and the parts.
        faults: the statements that are not understood, by edition.
    """

    by_serial: Mapping[str, Mapping[int, tuple[str, Parts]]]
    remarks: Mapping[int, tuple[StatementRemark, ...]]
    faults: Mapping[int, StatementFault]
    extents: Mapping[str, Serial]

    @cached_property
    def alike(self) -> tuple[tuple[str, str], ...]:
        """Return pairs of folded titles that may be meant for one serial."""
        return tuple(pair for pair in combinations(sorted(self.by_serial), 2) if may_be_one(*pair))


def collected_parts(reader: LibraryReader) -> CollectedParts:
    """Read what every edition of the catalog states to collect; two statements."""
    return _collected(collecting_editions(reader), reader.all(Serial))


@lru_cache(maxsize=8)
def _collected(stated: tuple[tuple[int, str], ...], serials: tuple[Serial, ...]) -> CollectedParts:
    """Read statements; a desk asks for the same ones scan after scan."""
    extents = {serial_key(serial.title): serial for serial in serials}
    known = frozenset(extents)
    by_serial: dict[str, dict[int, tuple[str, Parts]]] = {key: {} for key in extents}
    faults: dict[int, StatementFault] = {}
    remarks: dict[int, tuple[StatementRemark, ...]] = {}
    for edition_id, text in stated:
        read = read_statement(text, known.__contains__)
        if isinstance(read, StatementFault):
            faults[edition_id] = read
            continue
        if read.remarks:
            remarks[edition_id] = read.remarks
        for one in read.collected:
            by_serial.setdefault(serial_key(one.serial), {})[edition_id] = (one.serial, one.parts)
    return CollectedParts(by_serial, remarks, faults, extents)


def find_serial(collected: CollectedParts, text: str) -> str:
    """Return the folded title of the serial that a person names, in full or from the beginning of any word of it.

    Raises:
        RefusedError: no serial is named so, or several are.
    """
    key = serial_key(text)
    if key and key in collected.by_serial:
        return key
    like = serials_like(collected, key)
    if len(like) == 1:
        return like[0]
    names = serial_names(collected, like or sorted(collected.by_serial))
    if like:
        raise RefusedError(f"The serial '{text}'", f"may be {len(like)} serials", f"name one in full: {names}")
    remedy = f"name one of {names}" if names else "state what editions collect first (column 'collects')"
    raise RefusedError(f"The serial '{text}'", "is collected by no edition of the catalog", remedy)


def serials_like(collected: CollectedParts, key: str) -> list[str]:
    """Return the folded titles of the serials of which some word begins with a folded name, in order."""
    return sorted(other for other in collected.by_serial if key and f" {key}" in f" {other}")


def serial_names(collected: CollectedParts, keys: Sequence[str]) -> str:
    """Write the titles of serials; of more than `MOST_NAMED` the first, and dots for the rest."""
    return ", ".join(f"'{serial_title(collected, key)}'" for key in keys[:MOST_NAMED]) + " …" * (len(keys) > MOST_NAMED)


def serial_title(collected: CollectedParts, key: str) -> str:
    """Return the title of a serial: as a person gave it with its extent, else as most editions write it."""
    if key in collected.extents:
        return collected.extents[key].title
    written = Counter(title for title, _ in collected.by_serial[key].values())
    return min(written, key=lambda title: (-written[title], title))


def serial_titles(reader: LibraryReader) -> tuple[str, ...]:
    """Return the titles of all serials."""
    collected = collected_parts(reader)
    return tuple(serial_title(collected, key) for key in sorted(collected.by_serial))


def serial_maps(
    reader: LibraryReader, collected: CollectedParts, keys: Collection[str] | None = None
) -> tuple[SerialMap, ...]:
    """Return the maps of serials, of all where none is named, by title; two statements whatever their number."""
    chosen = sorted(collected.by_serial if keys is None else keys)
    ids = sorted({edition_id for key in chosen for edition_id in collected.by_serial[key]})
    editions = reader.get_many(Edition, ids)
    copies: dict[int, list[Copy]] = {}
    for copy in copies_ever_of_editions(reader, ids):
        copies.setdefault(copy.edition_id, []).append(copy)
    return tuple(_serial_map(collected, key, editions, copies) for key in chosen)


def extent_of(serial: Serial | None) -> Parts | None:
    """Return the extent that a person gave of a serial; None where there is none."""
    read = read_parts(serial.extent) if serial is not None else None
    return read if isinstance(read, Parts) else None


def _serial_map(
    collected: CollectedParts, key: str, editions: Mapping[int | str, Edition], copies: Mapping[int, list[Copy]]
) -> SerialMap:
    stated = {edition_id: parts for edition_id, (_, parts) in collected.by_serial[key].items()}
    extent = collected.extents.get(key)
    given = extent_of(extent)
    known = known_parts(stated.values(), given)
    is_guess = given is None or given.is_open
    order = PartOrder(known)
    listed = (
        SerialEdition(
            edition=editions[edition_id],
            stated=parts,
            places=order.places(whole := expanded(parts, known)),
            outside=beyond(parts, known),
            is_assumed=is_guess and (parts.is_open or whole != parts),
            partly=order.places(partly(whole, known)) if known.combined else (),
            copies=tuple(copy for copy in copies.get(edition_id, ()) if copy.state not in NOT_HELD),
            gone=tuple(copy for copy in copies.get(edition_id, ()) if copy.state in NOT_HELD),
            remarks=collected.remarks.get(edition_id, ()),
        )
        for edition_id, parts in stated.items()
        if edition_id in editions
    )
    return SerialMap(serial_title(collected, key), extent, known, order, tuple(sorted(listed, key=_edition_order)))


def _edition_order(one: SerialEdition) -> tuple[object, ...]:
    first = one.places[0] if one.places else (END, 0)
    return (first[0], -first[1], one.edition.title, one.edition.id)


def keys_of_edition(collected: CollectedParts, edition_id: int) -> tuple[str, ...]:
    """Return the serials that an edition collects."""
    return tuple(key for key, stated in collected.by_serial.items() if edition_id in stated)


def edition_name(edition: Edition) -> str:
    """Return what lists call an edition: its key, its number, or else its record."""
    return edition.key or edition.number or say("edition {number}", number=edition.id)
