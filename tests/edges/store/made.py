"""Records for the tests: a small library of invented books, and records drawn at random."""

import types
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from typing import Any, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from intake.model.boxes import Box, BoxPicture, BoxState, Consignment, Discrepancy, DiscrepancyKind
from intake.model.changes import Record
from intake.model.condition import ConditionReport, CopyPicture, Occasion
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import BookSet, Copy, CopyState, Edition, Printing
from intake.model.places import Place, PlaceKind
from intake.model.serials import Serial
from intake.model.shelving import Ordering, Printed
from intake.model.sightings import Picture, Query, Sighting
from intake.model.valuations import Basis, Rate, SetValue, Valuation
from intake.model.withdrawals import Withdrawal, WithdrawalReason

NOON = datetime(2026, 5, 1, 12, tzinfo=UTC)

SET = BookSet(id=1, title="Invented flora", volumes=2)
FIRST = Edition(
    id=1,
    title="Die Gräser der Küste: ein erfundener Führer",
    key="G1",
    number="9789999999991",
    contributors=("Ima Ginary", "Éve Nonesuch"),
    set_id=1,
    volume="1",
)
SECOND = Edition(id=2, title="Die Graser der Kuste", number="9789999999984", set_id=1, volume="2", height_mm=310.5)
PRINTING = Printing(id=1, edition_id=1, ordinal=2, number_line="5 4 3 2")
CONSIGNMENT = Consignment(reference="C-1", carrier="Nowhere Lines", dispatched=date(2026, 4, 1))
BOX = Box(number="B1", state=BoxState.ARRIVED, consignment="C-1", gross_g=16250.0)
ROOM = Place(number="S1", kind=PlaceKind.ROOM, name="Study")
CASE = Place(number="S2", kind=PlaceKind.BOOKCASE, name="A", parent="S1")
SHELF = Place(number="S3", kind=PlaceKind.SHELF, name="1", parent="S2", width_mm=800.0)
COPY = Copy(accession="A1", edition_id=1, printing_id=1, state=CopyState.PACKED, box="B1", wrapped=True)
STANDING = Copy(accession="A2", edition_id=2, state=CopyState.SHELVED, place="S3")
SOLD = Copy(accession="A90", edition_id=2, state=CopyState.WITHDRAWN, box="B1")
WITHDRAWAL = Withdrawal(
    copy="A90",
    on=date(2026, 3, 1),
    reason=WithdrawalReason.SOLD,
    was=CopyState.UNPACKED,
    amount=Decimal("40.00"),
    currency="EUR",
)
SERIAL = Serial(id=1, title="Tidewrack Quarterly", extent="1-120, annual 1-4")
PICTURE = Picture(sha256="ab" * 32, name="one.jpg", media_type="image/jpeg", width_px=4, height_px=3)
SIGHTING = Sighting(id=1, copy="A1", at=NOON, station="desk", box="B1", picture="ab" * 32)
QUERY = Query(id=1, at=NOON, station="desk", reason="two editions carry it", box="B1")
VALUATION = Valuation(
    id=1, copy="A1", amount=Decimal("120.50"), currency="EUR", on=date(2026, 1, 2), basis=Basis.REPLACEMENT
)
BOX_PICTURE = BoxPicture(id=1, box="B1", picture="ab" * 32, note="a corner is crushed")
DISCREPANCY = Discrepancy(
    id=1, box="B1", copy="A1", kind=DiscrepancyKind.MISSING, reason="not in the box", at=NOON, station="desk"
)
REPORT = ConditionReport(id=1, copy="A1", at=NOON, occasion=Occasion.BEFORE, wrapped=True)
COPY_PICTURE = CopyPicture(id=1, copy="A1", picture="ab" * 32, report=1)
SET_VALUE = SetValue(
    id=1, set_id=1, amount=Decimal(400), currency="EUR", on=date(2026, 1, 2), basis=Basis.MARKET, lacking="2"
)
RATE = Rate(key="2026-01-02 EUR USD", on=date(2026, 1, 2), base="EUR", currency="USD", per_base=Decimal("1.1000"))
ORDERING = Ordering(keys=("subject", "title"), language="sv")
PRINTED = Printed(label="shelf S3-81", words="Gräser to Moose")
EARLIER_MERGE = EarlierMerge(id=1, edition=7, into=1, key="G1b", title="Die Gräser der Küste")
EARLIER_LISTING = EarlierListing(
    id=1, step="import copies", file="Küste.csv", record_table="copy", record_key="A1", after='{"accession":"A1"}'
)

# On purpose in an order in which no database with foreign keys would take them.
LIBRARY: tuple[Record, ...] = (
    *(WITHDRAWAL, DISCREPANCY, BOX_PICTURE, SERIAL),
    *(COPY_PICTURE, REPORT, SET_VALUE, RATE),
    *(EARLIER_LISTING, EARLIER_MERGE),
    *(VALUATION, QUERY, SIGHTING, PICTURE, SOLD, STANDING, COPY, SHELF, CASE, ROOM),
    *(BOX, CONSIGNMENT, PRINTED, ORDERING, PRINTING, SECOND, FIRST, SET),
)


zones = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
moments = st.datetimes(datetime(2, 1, 1), datetime(9998, 1, 1), timezones=zones)  # noqa: DTZ001 - the zone is drawn


def _values(hint: Any) -> st.SearchStrategy[Any]:
    if get_origin(hint) is types.UnionType:
        inner = next(part for part in get_args(hint) if part is not types.NoneType)
        return st.none() | _values(inner)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    strategies: dict[Any, st.SearchStrategy[Any]] = {
        str: st.text(max_size=12),
        int: st.integers(-(2**62), 2**62),
        float: st.floats(min_value=0, allow_nan=False, allow_infinity=False),
        bool: st.booleans(),
        Decimal: st.decimals(allow_nan=False, allow_infinity=False),
        date: st.dates(),
        datetime: moments,
        tuple[str, ...]: st.lists(st.text(max_size=12), max_size=3).map(tuple),
    }
    return strategies[hint]


def records(kind: type[Record]) -> st.SearchStrategy[Record]:
    """Draw records of a kind; what they refer to need not exist."""
    drawn: st.SearchStrategy[Record] = st.builds(
        kind, **{name: _values(hint) for name, hint in get_type_hints(kind).items()}
    )
    return drawn
