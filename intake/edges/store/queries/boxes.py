"""What is known of boxes and of what was seen in them.

A `reference` names the consignment whose boxes are meant; None means all boxes.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, String, and_, cast, func, not_, or_, select

from intake.edges.store.fetching import COLUMNS, fetch, fetch_any, in_lots
from intake.edges.store.queries.sightings import came_out
from intake.edges.store.queries.withdrawals import is_held
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values, table_name
from intake.edges.store.tables import TABLES, ledger, ledger_change
from intake.model.boxes import Box, BoxPicture, BoxState, Discrepancy, DiscrepancyKind
from intake.model.changes import ActionKind
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import Query, QueryState, Sighting

_BOX, _COPY, _EDITION, _SIGHTING = TABLES[Box].c, TABLES[Copy].c, TABLES[Edition].c, TABLES[Sighting].c


@dataclass(frozen=True, slots=True)
class SeenElsewhere:
    """A copy that came out of a box whose list does not name it; `is_new` where no list names it."""

    copy: str
    edition: Edition
    found_in: str
    listed_in: str | None
    is_new: bool


def in_consignment(box: ColumnElement[str | None], reference: str | None) -> ColumnElement[bool]:
    """Return the condition that a column names a box of the consignment, or any box for None."""
    if reference is None:
        return box.is_not(None)
    return box.in_(select(_BOX.number).where(_BOX.consignment == reference))


_MADE_BY = (
    ActionKind.RECORD_NEW_COPY,
    ActionKind.DECIDE_AS_NEW_COPY,
    ActionKind.DECIDE_AS_NEW_EDITION,
    ActionKind.DECIDE_QUERY,
    ActionKind.IMPORT_UNLISTED_COPIES,
)
"""The steps that record a copy which nothing named before.

DECIDE_QUERY is any decision of an older program; the last is the import of another library's copies of this sort.
"""


def made_out_of_a_box() -> ColumnElement[bool]:
    """Return the condition that a copy was recorded as it came out of a box: no list had named it."""
    change = ledger_change.c
    steps = select(ledger.c.seq).where(ledger.c.name.in_([kind.value for kind in _MADE_BY]))
    # Wrapped, so that the few steps are looked up by their numbers, and not every change of a copy by its table.
    of_copies = func.coalesce(change.record_table, "") == table_name(Copy)
    made = change.seq.in_(steps) & of_copies & change.before.is_(None)
    return _COPY.accession.in_(select(change.record_key).where(made))


def is_surplus() -> ColumnElement[bool]:
    """Return the condition that a copy is on no list and came out of the very box whose number it bears.

    One that was packed since, into that box or another, is on a list.
    """
    first = TABLES[Sighting].alias("first")
    came_from = select(first.c.box).where(first.c.copy == _COPY.accession).order_by(first.c.id).limit(1)
    unpacked = _COPY.state != CopyState.PACKED.value
    return and_(unpacked, made_out_of_a_box(), came_from.scalar_subquery().is_not_distinct_from(_COPY.box))


def list_boxes(reader: LibraryReader, consignment: str | None = None) -> tuple[Box, ...]:
    """Return all boxes, or those of one consignment."""
    where = [] if consignment is None else [_BOX.consignment == consignment]
    return fetch(reader.connection, Box, *where)


def open_boxes(reader: LibraryReader) -> tuple[Box, ...]:
    """Return the boxes that are open."""
    return fetch(reader.connection, Box, _BOX.state == BoxState.OPEN.value)


def first_deliveries(reader: LibraryReader, references: Iterable[str]) -> dict[str, tuple[str, date]]:
    """Return the box of each of these consignments that was delivered first, and the day, where days are known."""
    first: dict[str, tuple[str, date]] = {}
    for box in fetch_any(reader.connection, Box, _BOX.consignment, references):
        if box.delivered is not None:
            known = first.get(box.consignment or "")
            if known is None or box.delivered < known[1]:
                first[box.consignment or ""] = (box.number, box.delivered)
    return first


def boxes_left_out(reader: LibraryReader) -> frozenset[str]:
    """Return the boxes that have not arrived although another one of their consignment has."""
    arrived = _BOX.state.in_([BoxState.ARRIVED.value, BoxState.UNPACKED.value])
    begun = select(_BOX.consignment).where(arrived, _BOX.consignment.is_not(None))
    return frozenset(reader.connection.scalars(select(_BOX.number).where(not_(arrived), _BOX.consignment.in_(begun))))


def damage_of_copies(reader: LibraryReader, accessions: Iterable[str] | None = None) -> dict[str, str]:
    """Return what was recorded of the damage to each copy, of these or of all, that came out of its box damaged.

    All that was recorded of one copy is in one sentence.
    """
    line = TABLES[Discrepancy].c
    damaged = select(line.copy, line.reason).where(line.kind == DiscrepancyKind.DAMAGED.value).order_by(line.id)
    damage: dict[str, list[str]] = {}
    for lot in [None] if accessions is None else in_lots(dict.fromkeys(accessions)):
        of_lot = damaged if lot is None else damaged.where(line.copy.in_(lot))
        for copy, reason in reader.connection.execute(of_lot):
            damage.setdefault(copy, []).append(reason)
    return {copy: "; ".join(filter(None, dict.fromkeys(reasons))) for copy, reasons in damage.items()}


def pictures_per_box(reader: LibraryReader, reference: str | None = None) -> dict[str, int]:
    """Count the photographs of each box that has any."""
    box = TABLES[BoxPicture].c.box
    counted = select(box, func.count()).where(in_consignment(box, reference)).group_by(box)
    return dict(tuple(row) for row in reader.connection.execute(counted))


def pictures_of_box(reader: LibraryReader, number: str) -> tuple[str, ...]:
    """Return the SHA-256 of each photograph of a box as it arrived, in the order in which they were kept."""
    return tuple(each.picture for each in fetch(reader.connection, BoxPicture, TABLES[BoxPicture].c.box == number))


def begun_boxes(reader: LibraryReader, reference: str | None = None) -> frozenset[str]:
    """Return the boxes out of which something was taken."""
    boxes = select(_SIGHTING.box).where(in_consignment(_SIGHTING.box, reference)).distinct()
    return frozenset(reader.connection.scalars(boxes))


def unpacked_at(reader: LibraryReader, reference: str | None = None) -> dict[str, datetime]:
    """Return when each copy was taken out of a box; a copy that was seen once more is no further copy."""
    of_boxes = in_consignment(_SIGHTING.box, reference)
    moments = select(_SIGHTING.copy, _SIGHTING.at).where(came_out(), of_boxes).order_by(_SIGHTING.id)
    return {copy: datetime.fromisoformat(at) for copy, at in reader.connection.execute(moments)}


def sightings_of_list(reader: LibraryReader, number: str) -> tuple[tuple[str, str, int], ...]:
    """Return (copy, box it came out of, ledger entry) of each sighting, in a box, of a copy listed in this one."""
    recorded = and_(
        ledger_change.c.record_table == table_name(Sighting),
        ledger_change.c.record_key == cast(_SIGHTING.id, String),
        ledger_change.c.before.is_(None),
    )
    joined = TABLES[Sighting].join(TABLES[Copy], _COPY.accession == _SIGHTING.copy).join(ledger_change, recorded)
    statement = (
        select(_SIGHTING.copy, _SIGHTING.box, ledger_change.c.seq)
        .select_from(joined)
        .where(_COPY.box == number, _SIGHTING.box.is_not(None))
        .order_by(ledger_change.c.seq)
    )
    return tuple((copy, box, seq) for copy, box, seq in reader.connection.execute(statement))


def weighings(reader: LibraryReader, number: str) -> tuple[int, ...]:
    """Return the ledger entries that record the mass of a box by itself, taken back or not, the latest first."""
    weighing = and_(ledger.c.name == ActionKind.WEIGH_BOX.value, ledger.c.subject == number)
    return tuple(reader.connection.scalars(select(ledger.c.seq).where(weighing).order_by(ledger.c.seq.desc())))


def seen_elsewhere(reader: LibraryReader, reference: str | None = None) -> tuple[SeenElsewhere, ...]:
    """Return the copies that came out of a box whose list does not name them, in the order of the sightings.

    A copy is on no list where its record was made out of a box (`made_out_of_a_box`); one that was withdrawn since is
    left out.
    """
    is_new = made_out_of_a_box()
    joined = TABLES[Sighting].join(TABLES[Copy], _COPY.accession == _SIGHTING.copy)
    statement = (
        select(_COPY.accession, _SIGHTING.box, _COPY.box, is_new.label("is_new"), *COLUMNS[Edition])
        .select_from(joined.join(TABLES[Edition], _EDITION.id == _COPY.edition_id))
        .where(
            is_held(), in_consignment(_SIGHTING.box, reference), or_(_COPY.box.is_distinct_from(_SIGHTING.box), is_new)
        )
        .order_by(_SIGHTING.id)
    )
    rows = map(tuple, reader.connection.execute(statement))
    seen = (SeenElsewhere(row[0], from_values(Edition, row[4:]), row[1], row[2], bool(row[3])) for row in rows)
    return tuple(dict.fromkeys(seen))


def discrepancies(reader: LibraryReader, reference: str | None = None) -> tuple[tuple[Discrepancy, Copy, Edition], ...]:
    """Return what was reported missing or damaged, each with its copy and edition, in the order of the reports."""
    line = TABLES[Discrepancy]
    joined = line.join(TABLES[Copy], _COPY.accession == line.c.copy)
    columns = (*COLUMNS[Discrepancy], *COLUMNS[Copy], *COLUMNS[Edition])
    statement = (
        select(*(column.label(f"column_{nth}") for nth, column in enumerate(columns)))
        .select_from(joined.join(TABLES[Edition], _EDITION.id == _COPY.edition_id))
        .where(in_consignment(line.c.box, reference))
        .order_by(line.c.id)
    )
    ends = len(COLUMNS[Discrepancy]), len(COLUMNS[Discrepancy]) + len(COLUMNS[Copy])
    return tuple(
        (
            from_values(Discrepancy, row[: ends[0]]),
            from_values(Copy, row[ends[0] : ends[1]]),
            from_values(Edition, row[ends[1] :]),
        )
        for row in map(tuple, reader.connection.execute(statement))
    )


def taken_out_of(reader: LibraryReader, accessions: Iterable[str]) -> dict[str, str]:
    """Return the box that each of these copies was last taken out of; a copy that was in none is left out."""
    out_of = select(_SIGHTING.copy, _SIGHTING.box).where(came_out()).order_by(_SIGHTING.id)
    boxes: dict[str, str] = {}
    for lot in in_lots(dict.fromkeys(accessions)):
        rows = reader.connection.execute(out_of.where(_SIGHTING.copy.in_(lot)))
        boxes |= dict(tuple(row) for row in rows)
    return boxes


def count_found_elsewhere(reader: LibraryReader, number: str | None = None) -> Counter[str]:
    """Count by box, of one box or of every box for None, the copies on its list that came out of another box."""
    joined = TABLES[Sighting].join(TABLES[Copy], _COPY.accession == _SIGHTING.copy)
    seen = _COPY.state.in_([CopyState.UNPACKED.value, CopyState.SHELVED.value])
    of_box = _COPY.box.is_not(None) if number is None else _COPY.box == number
    candidates = select(_COPY.accession, _COPY.box).select_from(joined).where(seen, of_box, _SIGHTING.box != _COPY.box)
    listed_in = dict(tuple(row) for row in reader.connection.execute(candidates.where(not_(is_surplus())).distinct()))
    out_of = taken_out_of(reader, listed_in)
    return Counter(box for copy, box in listed_in.items() if out_of.get(copy, box) != box)


def count_waiting_in(reader: LibraryReader, reference: str | None = None) -> int:
    """Count what came out of the boxes and waits on the query pile."""
    query = TABLES[Query].c
    waiting = query.state == QueryState.WAITING.value
    counted = select(func.count()).where(waiting, in_consignment(query.box, reference))
    return reader.connection.scalar(counted) or 0
