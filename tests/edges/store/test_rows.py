"""Every record comes back as it went in."""

from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import datetime
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, create_engine, insert

from intake.edges.store.chain import canonical
from intake.edges.store.fetching import fetch
from intake.edges.store.pending import prepare
from intake.edges.store.rows import KINDS, RECORD_TYPES, from_plain, to_plain, utc_text
from intake.edges.store.tables import TABLES, metadata
from intake.model.boxes import Box
from intake.model.changes import Record, made
from intake.model.places import Place
from intake.model.valuations import Valuation
from tests.edges.store.made import LIBRARY, VALUATION, moments, records

any_record = st.sampled_from(RECORD_TYPES).flatmap(records)


def test_every_kind_has_a_table_a_name_and_a_record_in_these_tests() -> None:
    assert set(KINDS.values()) == set(RECORD_TYPES) == {type(record) for record in LIBRARY} == set(TABLES)
    for kind, table in TABLES.items():
        names = [field.name for field in fields(kind)]
        assert [column.name for column in table.columns][: len(names)] == names
        assert [column.name for column in table.primary_key] == names[:1]


@given(any_record)
def test_plain_values_give_the_record_back_and_are_json(record: Record) -> None:
    plain = to_plain(record)
    assert from_plain(type(record), plain) == record
    assert canonical(plain)


@pytest.fixture(scope="module")
def tables() -> Iterator[Engine]:
    engine = create_engine("sqlite://")  # foreign keys off: what a drawn record points to does not exist
    metadata.create_all(engine)
    yield engine
    engine.dispose()


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(record=any_record)
def test_a_saved_record_is_loaded_equal(tables: Engine, record: Record) -> None:
    assume(not isinstance(record, Place) or record.parent != record.number)  # no place is inside itself
    with tables.connect() as connection:  # what is not committed is not there for the next record
        (pending,) = prepare(made(record))
        connection.execute(insert(TABLES[type(record)]), [dict(pending.row)])
        (loaded,) = fetch(connection, type(record))
    assert loaded == record
    assert to_plain(loaded) == to_plain(record)


@given(moments, moments)
def test_moments_sort_as_their_texts(first: datetime, second: datetime) -> None:
    assert (first < second) == (utc_text(first) < utc_text(second))


def test_decimal_keeps_its_text() -> None:
    assert str(from_plain(Valuation, to_plain(VALUATION)).amount) == "120.50"


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        utc_text(datetime(2026, 5, 1))  # noqa: DTZ001 - the case under test


def test_an_absent_field_takes_its_default() -> None:
    """An entry written before a field was added can still be taken back."""
    assert from_plain(Box, {"number": "B9"}) == Box(number="B9")


def test_amounts_that_are_not_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="not a number"):
        to_plain(replace(VALUATION, amount=Decimal("NaN")))
