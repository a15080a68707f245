"""What the queries of boxes, copies and values answer, and that each is one statement whatever the size."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.edges.store.library import Library
from intake.edges.store.queries import boxes, copies, values
from intake.edges.store.queries.sightings import unpacked_per_day
from intake.edges.store.queries.values import Shared
from intake.edges.store.reader import LibraryReader
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.editions import Copy, CopyState, Edition
from intake.model.sightings import QueryState, Sighting
from intake.model.valuations import Basis, Rate, Valuation, rate_key
from intake.valuing.rates import RateTable
from intake.valuing.totals import latest_valuations as latest
from tests.counting import count_statements
from tests.drawn_examples import examples
from tests.edges.store.made import COPY, DISCREPANCY, FIRST, LIBRARY, NOON, QUERY, SECOND, SIGHTING, SOLD, VALUATION
from tests.made_library import new_library

ELSEWHERE = Box(number="B2", state=BoxState.OPEN)
DAY = date(2026, 3, 2)


@pytest.fixture
def full(library: Library) -> Library:
    """The library of `made`, with an open second box that holds a copy and is in no consignment."""
    loose = Copy(accession="A3", edition_id=1, state=CopyState.PACKED, box="B2")
    listed = [record for record in LIBRARY if record != SIGHTING]
    library.apply(Action(ActionKind.IMPORT_COPIES, "everything"), made(*listed, ELSEWHERE, loose))
    library.apply(Action(ActionKind.UNPACK_COPY, "A1"), made(SIGHTING))
    return library


def test_the_list_of_a_box_is_one_everywhere(full: Library) -> None:
    with full.reading() as records:
        assert [copy.accession for copy in copies.copies_in_box(records, "B1")] == ["A1"]
        assert copies.box_contents(records, "B1") == ((COPY, FIRST),)
        counts = copies.counts_per_box(records)
        assert counts["B1"] == copies.BoxCount({CopyState.PACKED: 1})
        assert copies.counts_per_box(records, "B1") == {"B1": counts["B1"]}
        assert [copy.accession for copy, _ in copies.open_box_contents(records)] == ["A3"]
        assert (copies.count_packed(records), copies.count_packed(records, "C-1")) == (2, 1)
        assert copies.consignment_contents(records, "C-1") == ((COPY, FIRST), (SOLD, SECOND)), "it travelled"
        assert [box.number for box in boxes.open_boxes(records)] == ["B2"]
    unpacked = replace(COPY, state=CopyState.UNPACKED)
    full.apply(Action(ActionKind.UNPACK_COPY, "A1"), (Change(COPY, unpacked),))
    with full.reading() as records:
        assert copies.box_contents(records, "B1") == ((unpacked, FIRST),), "a copy stays on its list"
        assert copies.consignment_contents(records, "C-1") == ((unpacked, FIRST), (SOLD, SECOND))
        assert (copies.count_packed(records), copies.count_packed(records, "C-1")) == (1, 0)


def test_copies_to_pack_lie_in_no_open_box(full: Library) -> None:
    with full.reading() as records:
        waiting = [copy.accession for copy, _ in copies.copies_to_pack(records, CopyState)]
        assert waiting == ["A1", "A2"], "in any state but withdrawn"
        assert copies.count_to_pack(records, CopyState) == 2
        assert copies.count_to_pack(records, [CopyState.PACKED]) == 1
        assert [copy.accession for copy, _ in copies.copies_in_state(records, CopyState.PACKED, 9)] == ["A1", "A3"]
        found = copies.copies_in_state(records, CopyState.PACKED, 9, besides_box="B1")
        assert [copy.accession for copy, _ in found] == ["A3"]
        assert len(copies.copies_in_state(records, CopyState.PACKED, 1)) == 1
        assert copies.copies_per_state(records) == {
            CopyState.PACKED: 2, CopyState.SHELVED: 1, CopyState.WITHDRAWN: 1
        }  # fmt: skip


def test_what_was_seen_belongs_to_the_consignment_of_its_box(full: Library) -> None:
    other = replace(SIGHTING, id=2, copy="A3", box="B2", at=NOON + timedelta(minutes=1))
    full.apply(
        Action(ActionKind.UNPACK_COPY, "A3"), made(other, replace(QUERY, id=2, box="B2", state=QueryState.DECIDED))
    )
    with full.reading() as records:
        assert boxes.begun_boxes(records) == {"B1", "B2"}
        assert boxes.begun_boxes(records, "C-1") == {"B1"}
        assert boxes.unpacked_at(records) == {SIGHTING.copy: SIGHTING.at, "A3": other.at}
        assert boxes.unpacked_at(records, "C-1") == {SIGHTING.copy: SIGHTING.at}
        assert boxes.pictures_per_box(records, "C-1") == {"B1": 1}
        assert boxes.discrepancies(records, "C-1") == ((DISCREPANCY, COPY, FIRST),)
        assert (boxes.count_waiting_in(records), boxes.count_waiting_in(records, "C-1")) == (1, 1)
        assert boxes.discrepancies(records, "none") == ()


def test_a_copy_seen_where_no_list_has_it_is_new_or_from_another_list(full: Library) -> None:
    new = Copy(accession="A9", edition_id=2, state=CopyState.UNPACKED, box="B1")
    seen = Sighting(id=2, copy="A9", at=NOON, station="desk", box="B1")
    strayed = Sighting(id=3, copy="A3", at=NOON, station="desk", box="B1")
    # Whatever the step is called: the desk decides a query, the command line records a new copy.
    full.apply(Action(ActionKind.DECIDE_QUERY, "1"), made(new, seen))
    full.apply(Action(ActionKind.UNPACK_COPY, "A3"), made(strayed, replace(strayed, id=4)))
    with full.reading() as records:
        found = boxes.seen_elsewhere(records, "C-1")
    assert [(one.copy, one.listed_in, one.is_new) for one in found] == [("A9", "B1", True), ("A3", "B2", False)]
    assert found[0].edition == SECOND


def test_a_copy_was_taken_out_of_the_box_in_which_it_was_seen_before_it_was_out(full: Library) -> None:
    with full.reading() as records:
        assert boxes.taken_out_of(records, ["A1", "A2", "none"]) == {"A1": "B1"}
    # Seen again beside another box a day later, then on a shelf: it is out already.
    later = SIGHTING.at + timedelta(days=1)
    full.apply(
        Action(ActionKind.SEE_COPY_AGAIN, "A1"),
        made(replace(SIGHTING, id=2, box="B2", at=later), replace(SIGHTING, id=3, box=None)),
    )
    with full.reading() as records:
        assert boxes.taken_out_of(records, ["A1"]) == {"A1": "B1"}
        assert unpacked_per_day(records) == [(str(SIGHTING.at.date()), 1)], "it was unpacked on one day only"
    # Packed once more, and taken out of another box.
    full.apply(Action(ActionKind.UNPACK_COPY, "A1"), made(replace(SIGHTING, id=4, box="B2")))
    with full.reading() as records:
        assert boxes.taken_out_of(records, ["A1"]) == {"A1": "B2"}


def valued(nth: int, copy: str, **more: object) -> Valuation:
    return replace(VALUATION, id=nth, copy=copy, **more)  # type: ignore[arg-type] # fields by name


drawn = st.lists(st.tuples(st.sampled_from(["A1", "A2", "A3"]), st.integers(0, 3), st.sampled_from(Basis)), max_size=12)


@settings(max_examples=examples(20))
@given(drawn)
def test_the_latest_valuation_is_the_same_in_the_library_and_beside_it(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, int, Basis]]
) -> None:
    recorded = [
        valued(nth, copy, on=DAY + timedelta(days=day), basis=basis) for nth, (copy, day, basis) in enumerate(rows, 1)
    ]
    with make_library(tmp_path_factory) as library:
        library.apply(Action(ActionKind.VALUE_COPY, "all"), made(FIRST_ALONE, *THREE, *recorded))
        with library.reading() as records:
            for basis in (None, *Basis):
                assert values.latest_valuations(records, basis) == latest(recorded, basis)
            assert values.latest_valuations_of(records, ["A1", "A3"]) == {
                copy: one for copy, one in latest(recorded).items() if copy != "A2"
            }


FIRST_ALONE = Edition(id=1, title="Invented")
THREE = tuple(Copy(accession=f"A{n}", edition_id=1) for n in (1, 2, 3))


def make_library(factory: pytest.TempPathFactory) -> Library:
    return new_library(factory.mktemp("made") / "library")


def test_peers_share_what_is_named_and_are_the_latest_of_their_copies(library: Library) -> None:
    editions = [Edition(id=n, title="t", set_id=None, subject="Birds" if n < 3 else "Ferns") for n in (1, 2, 3)]
    owned = [Copy(accession=f"A{n}", edition_id=n % 3 + 1) for n in range(9)]
    first = [valued(n + 1, f"A{n}") for n in range(9)]
    later = valued(20, "A4", on=DAY)
    library.apply(Action(ActionKind.IMPORT_COPIES, "all"), made(*editions, *owned, *first, later))

    def ids(shared: Shared, limit: int = 99) -> list[int]:
        with library.reading() as records:
            return [one.id for one in values.peer_valuations(records, shared, besides="A0", limit=limit)]

    assert ids(Shared()) == [20, 9, 8, 7, 6, 4, 3, 2]
    assert ids(Shared(subject="Birds")) == [20, 8, 7, 4, 2]
    assert ids(Shared(subject="Birds"), limit=2) == [20, 8]
    assert ids(Shared(edition_id=1)) == [7, 4]
    assert ids(Shared(set_id=7)) == []


def test_the_rates_for_one_day_convert_as_all_rates_do(library: Library) -> None:
    def rate(day: int, currency: str, per_base: str) -> Rate:
        on = date(2026, 1, day)
        key = rate_key(on, "EUR", currency)
        return Rate(key=key, on=on, base="EUR", currency=currency, per_base=Decimal(per_base))

    recorded = [rate(5, "USD", "1.1"), rate(8, "USD", "1.2"), rate(20, "USD", "1.3"), rate(9, "GBP", "0.9")]
    library.apply(Action(ActionKind.IMPORT_RATES, "all"), made(*recorded))
    with library.reading() as records:
        for day in range(1, 31):
            on = date(2026, 1, day)
            few, every = (RateTable(rates) for rates in (values.rates_for_day(records, ["USD", "GBP"], on), recorded))
            for pair in (("USD", "EUR"), ("GBP", "USD"), ("JPY", "EUR")):
                assert few.conversion(*pair, on) == every.conversion(*pair, on)
        assert set(values.rates_between(records, date(2026, 1, 8), date(2026, 1, 9)).values()) == set(recorded[1:4:2])


Question = Callable[[LibraryReader], object]
QUESTIONS: tuple[Question, ...] = (
    lambda records: copies.box_contents(records, "B1"),
    lambda records: copies.consignment_contents(records, "C-1"),
    copies.open_box_contents,
    lambda records: list(copies.copies_to_pack(records, CopyState)),
    lambda records: copies.copies_in_state(records, CopyState.PACKED, 5),
    boxes.seen_elsewhere,
    boxes.discrepancies,
    lambda records: boxes.taken_out_of(records, ["A1", "A2"]),
    boxes.count_found_elsewhere,
    values.latest_valuations,
    lambda records: values.valuations_by_copy(records, ["A1", "A2"]),
    lambda records: values.peer_valuations(records, Shared(subject="Birds"), besides="A1", limit=9),
    lambda records: values.rates_for_day(records, ["EUR", "USD"], DAY),
    values.copies_in_sets,
    values.editions_in_sets,
)


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_is_one_statement(full: Library, question: Question) -> None:
    with full.reading() as records, count_statements(full) as count:
        question(records)
    assert count.statements == 1
