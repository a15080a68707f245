"""The ledger: applying, taking back, the chain. Digests are made again here from their documented form alone."""

import hashlib
import json
import sqlite3
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.edges.store.fetching import fetch
from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import (
    entry_of_request,
    history_of_record,
    latest_entries,
    ledger_entry,
    ledger_head,
)
from intake.edges.store.queries.reversals import reversing_changes
from intake.edges.store.rows import RECORD_TYPES
from intake.errors import RefusedError
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, Record, made
from intake.model.editions import BookSet, Copy, CopyState
from intake.model.places import Place, PlaceKind
from intake.model.sightings import Sighting
from tests.drawn_examples import examples
from tests.edges.store.made import (
    BOX,
    CASE,
    COPY,
    FIRST,
    LIBRARY,
    NOON,
    ROOM,
    SET,
    SHELF,
    SOLD,
    STANDING,
    VALUATION,
)  # fmt: skip
from tests.made_library import new_library


def everything(library: Library) -> dict[type, tuple[Record, ...]]:
    with library.reading() as records:
        return {kind: fetch(records.connection, kind) for kind in RECORD_TYPES}


def apply(library: Library, *changes: Change, name: str = "test", **action: Any) -> LedgerEntry:
    with library.writing() as work:
        return work.apply(Action(ActionKind.UNKNOWN, "it", unknown_name=name, **action), changes).entry


def take_back(library: Library, seq: int) -> LedgerEntry:
    with library.writing() as work:
        return work.apply(Action(ActionKind.UNDO, str(seq), undoes=seq), reversing_changes(work, seq)).entry


def test_records_of_every_kind_are_kept_whatever_their_order(library: Library) -> None:
    entry = apply(library, *made(*LIBRARY))
    stored = [record for records in everything(library).values() for record in records]
    assert sorted(map(repr, stored)) == sorted(map(repr, LIBRARY))
    assert (entry.seq, entry.at, len(entry.changes)) == (1, NOON, len(LIBRARY))


def test_taking_back_leaves_the_library_equal_and_doing_again_too(library: Library) -> None:
    apply(library, *made(*LIBRARY))
    full = everything(library)
    moved = replace(COPY, state=CopyState.UNPACKED, place="S3")
    note = replace(BOX, note="wet corner")
    sighting = Sighting(id=2, copy="A1", at=NOON, station="phone")
    entry = apply(library, Change(COPY, moved), Change(BOX, note), Change(VALUATION, None), *made(sighting))
    changed = everything(library)
    assert changed != full
    undo = take_back(library, entry.seq)
    assert everything(library) == full
    take_back(library, undo.seq)
    assert everything(library) == changed
    take_back(library, 4)
    assert everything(library) == full
    with library.reading() as records:
        assert verify_chain(records) is None


def test_taking_back_everything_empties_the_library(library: Library) -> None:
    empty = everything(library)
    apply(library, *made(*LIBRARY))
    take_back(library, 1)
    assert everything(library) == empty


def test_an_entry_whose_records_were_altered_since_is_not_taken_back(library: Library) -> None:
    apply(library, *made(*LIBRARY))
    first = replace(COPY, note="one")
    second = replace(COPY, note="two")
    apply(library, Change(COPY, first), name="note one")
    apply(library, Change(BOX, replace(BOX, note="x")))
    apply(library, Change(first, second), name="note two")
    with library.reading() as records:
        before = ledger_head(records)
    with pytest.raises(RefusedError, match="copy A1 was altered since by entry 4"):
        take_back(library, 2)
    with library.reading() as records:
        assert ledger_head(records) == before
    take_back(library, 3)  # touches the box alone
    take_back(library, 4)
    with library.reading() as records:
        assert records.get(Copy, "A1") == first
    take_back(library, 2)  # nothing stands in its way any more
    assert everything(library)[Copy] == (COPY, STANDING, SOLD)


def test_what_was_done_again_stands_in_the_way_again(library: Library) -> None:
    apply(library, *made(SET))
    two = replace(SET, title="two")
    apply(library, Change(SET, two), name="rename")
    take_back(library, 2)
    take_back(library, 3)
    with pytest.raises(RefusedError, match="altered since by entry 2"):
        take_back(library, 1)


def test_an_entry_is_taken_back_once(library: Library) -> None:
    apply(library, *made(SET))
    take_back(library, 1)
    with pytest.raises(RefusedError, match="taken back already by entry 2"):
        take_back(library, 1)
    take_back(library, 2)
    with pytest.raises(RefusedError, match="done again by entry 3"):
        take_back(library, 1)
    with pytest.raises(RefusedError, match="not in the ledger"):
        take_back(library, 9)
    apply(library)
    with pytest.raises(RefusedError, match="changed no record"):
        take_back(library, 4)


def test_what_others_need_is_not_taken_away(library: Library) -> None:
    apply(library, *made(SET))
    apply(library, *made(FIRST))
    with pytest.raises(RefusedError, match="edition 1 of entry 2 needs what it made; take back entry 2 first"):
        take_back(library, 1)
    with pytest.raises(RefusedError, match="others refer to"):
        apply(library, Change(SET, None))
    with pytest.raises(RefusedError, match="not in the library"):
        apply(library, *made(Copy(accession="A9", edition_id=99)))
    with library.reading() as records:
        assert records.get(BookSet, 1) == SET
        assert len(latest_entries(records)) == 2


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (Change(replace(SET, title="Other"), replace(SET, title="Third")), "changed meanwhile"),
        (Change(None, SET), "already"),
        (Change(replace(SET, id=7), replace(SET, id=7, title="x")), "no longer"),
        (Change(replace(SET, id=7), None), "no longer"),
    ],
)
def test_a_change_that_supposes_another_state_is_refused(library: Library, change: Change, why: str) -> None:
    apply(library, *made(SET))
    with pytest.raises(RefusedError, match=why):
        apply(library, *made(replace(SET, id=5)), change)
    assert everything(library)[BookSet] == (SET,)


def test_several_changes_of_one_record_count_as_one(library: Library) -> None:
    two, three = replace(SET, title="two"), replace(SET, title="three")
    entry = apply(library, Change(None, SET), Change(SET, two), Change(two, three), Change(three, three))
    assert [(change.before, dict(change.after or {})["title"]) for change in entry.changes] == [(None, "three")]
    with pytest.raises(RefusedError, match="changed meanwhile"):
        apply(library, Change(three, two), Change(SET, two))
    assert apply(library, Change(three, None), Change(None, three)).changes == ()


def test_a_request_is_applied_once(library: Library) -> None:
    first = apply(library, *made(SET), request="phone-1/7", station="phone-1", note="n")
    again = apply(library, *made(replace(SET, id=2)), request="phone-1/7")
    assert again == first
    with library.reading() as records:
        assert entry_of_request(records, "phone-1/7") == first
        assert entry_of_request(records, "phone-1/8") is None
        assert records.all(BookSet) == (SET,)


def test_an_exception_leaves_the_library_as_it_was(library: Library) -> None:
    def fail_half_way() -> None:
        with library.writing() as work:
            work.apply(Action(ActionKind.IMPORT_EDITIONS, "set"), made(SET))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_half_way()
    assert everything(library)[BookSet] == ()
    with library.reading() as records:
        assert latest_entries(records) == ()


@pytest.mark.parametrize(
    "record",
    [
        replace(FIRST, set_id=None, height_mm=float("nan")),
        replace(FIRST, set_id=None, title="\ud800"),
        replace(FIRST, set_id=None, year=2**80),
        replace(VALUATION, amount=Decimal("Infinity")),
        replace(FIRST, set_id=None, contributors=("\udc80",)),
    ],
)
def test_values_that_cannot_be_stored_are_refused(library: Library, record: Record) -> None:
    with pytest.raises(RefusedError, match="cannot be stored"):
        apply(library, *made(record))


def test_a_place_is_not_put_inside_itself(library: Library) -> None:
    apply(library, *made(SHELF, CASE, ROOM))
    with pytest.raises(RefusedError, match="inside itself"):
        apply(library, Change(ROOM, replace(ROOM, parent="S3")))
    ring = (
        Place(number="S8", kind=PlaceKind.ROOM, name="x", parent="S9"),
        Place(number="S9", kind=PlaceKind.ROOM, name="y", parent="S8"),
    )
    with pytest.raises(RefusedError, match="inside itself"):
        apply(library, *made(*ring))
    apply(library, Change(SHELF, replace(SHELF, parent="S1")))


def test_a_key_that_was_taken_back_is_not_given_again(library: Library) -> None:
    def make() -> int:
        new = BookSet(id=Provisional().id(), title="x")
        return library.apply(Action(ActionKind.IMPORT_EDITIONS, "set"), made(new)).key(new.id)

    apply(library, *made(BookSet(id=40, title="numbered elsewhere")))
    assert make() == 41
    take_back(library, 2)
    assert make() == 42, "or the ledger would tell two stories of set 41"


def digest_as_documented(entry: LedgerEntry) -> str:
    """Make the digest again from the docstring of `chain` alone: SHA-256 (FIPS 180-4) over canonical JSON."""
    action = entry.action
    whole = {
        "seq": entry.seq,
        "at": entry.at.strftime("%Y-%m-%dT%H:%M:%S.%f+00:00"),
        "name": action.name,
        "subject": action.subject,
        "station": action.station,
        "request": action.request,
        "note": action.note,
        "undoes": action.undoes,
        "previous": entry.previous,
        "changes": [
            {"table": c.table, "key": c.key, "before": c.before, "after": c.after} for c in entry.changes
        ],
    }  # fmt: skip
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def test_sha256_is_that_of_the_standard() -> None:
    """Example of FIPS 180-2, appendix B.1 (the message "abc"), from memory."""
    assert hashlib.sha256(b"abc").hexdigest() == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_digests_can_be_made_again_from_their_documented_form(library: Library) -> None:
    apply(library, *made(*LIBRARY), name='say "ß\u2028\\"', note="tab\there", request="r1")
    apply(library, Change(COPY, replace(COPY, note='quote " and é')), station="phone")
    take_back(library, 2)
    previous = "0" * 64
    for seq in (1, 2, 3):
        with library.reading() as records:
            entry = ledger_entry(records, seq)
        assert entry is not None
        assert entry.previous == previous
        assert entry.digest == digest_as_documented(entry)
        previous = entry.digest
    with library.reading() as records:
        assert ledger_head(records) == previous
        assert verify_chain(records) is None


TAMPERING: dict[str, tuple[str, int]] = {
    "a note": ("UPDATE ledger SET note = 'other' WHERE seq = 2", 2),
    "a moment": ("UPDATE ledger SET at = '2020-01-01T00:00:00.000000+00:00' WHERE seq = 3", 3),
    "a digest": ("UPDATE ledger SET digest = previous WHERE seq = 1", 1),
    "a value": ("UPDATE ledger_change SET after = replace(after, 'two', 'too') WHERE seq = 2", 2),
    "a key": ("UPDATE ledger_change SET record_key = '2' WHERE seq = 1", 1),
    "a change lost": ("DELETE FROM ledger_change WHERE seq = 2", 2),
    "an entry lost": ("DELETE FROM ledger WHERE seq = 2", 2),
    "the first lost": ("DELETE FROM ledger WHERE seq = 1", 1),
    "a change added": ("INSERT INTO ledger_change VALUES (3, 5, 'copy', 'A9', NULL, '{}')", 3),
    "a change of no entry": ("INSERT INTO ledger_change VALUES (9, 0, 'copy', 'A9', NULL, '{}')", 4),
    "no JSON": ("UPDATE ledger_change SET after = after || ' ' WHERE seq = 1", 1),
}


@pytest.mark.parametrize(("statement", "seq"), TAMPERING.values(), ids=TAMPERING)
@pytest.mark.folder
def test_tampering_is_found(library: Library, statement: str, seq: int) -> None:
    two, three = replace(SET, title="two"), replace(SET, title="three")
    apply(library, *made(SET))
    apply(library, Change(SET, two))
    apply(library, Change(two, three))
    connection = sqlite3.connect(library.folder / "library.sqlite3")
    assert connection.execute(statement).rowcount == 1
    connection.commit()
    connection.close()
    with library.reading() as records:
        assert verify_chain(records) == seq


@pytest.mark.folder
def test_two_changes_are_not_folded_into_one_text(library: Library) -> None:
    """Bytes that would give the same digest are no canonical JSON any more."""
    apply(library, *made(SET, replace(SET, id=2)))
    connection = sqlite3.connect(library.folder / "library.sqlite3")
    (first,), (second,) = connection.execute("SELECT after FROM ledger_change ORDER BY nth").fetchall()
    folded = f'{first},"before":null,"key":"1","table":"book_set"}},{{"after":{second}'
    connection.execute("UPDATE ledger_change SET after = ?, record_key = '2' WHERE nth = 0", (folded,))
    connection.execute("DELETE FROM ledger_change WHERE nth = 1")
    connection.commit()
    connection.close()
    with library.reading() as records:
        assert verify_chain(records) == 1


def test_history_of_a_record_and_the_latest_entries(library: Library) -> None:
    apply(library, *made(*LIBRARY), name="import")
    note = replace(COPY, note="foxed")
    apply(library, Change(COPY, note), Change(BOX, replace(BOX, note="n")), name="note")
    apply(library, Change(STANDING, None), name="lose")
    with library.reading() as records:
        history = history_of_record(records, "copy", "A1")
        assert [(entry.seq, entry.action.name, len(entry.changes)) for entry in history] == [
            (1, "import", 1),
            (2, "note", 1),
        ]
        assert dict(history[1].changes[0].after or {})["note"] == "foxed"
        assert [entry.seq for entry in latest_entries(records, limit=2)] == [3, 2]
        assert [entry.seq for entry in latest_entries(records, limit=2, before=2)] == [1]
        assert history_of_record(records, "copy", "A77") == ()
        assert ledger_entry(records, 77) is None


@st.composite
def shelf_moves(draw: st.DrawFn) -> list[list[tuple[str, str | None]]]:
    copies, boxes = ("A1", "A2", "A3"), (None, "B1", "B2")
    step = st.lists(st.tuples(st.sampled_from(copies), st.sampled_from(boxes)), max_size=3)
    return draw(st.lists(step, max_size=6))


@settings(deadline=None, max_examples=examples(25), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(shelf_moves())
def test_taking_back_from_the_end_always_returns_to_the_beginning(
    tmp_path_factory: pytest.TempPathFactory, moves: list[list[tuple[str, str | None]]]
) -> None:
    with new_library(tmp_path_factory.mktemp("many") / "library") as library:
        copies = {number: Copy(accession=number, edition_id=1) for number in ("A1", "A2", "A3")}
        apply(library, *made(replace(FIRST, set_id=None), Box(number="B1"), Box(number="B2"), *copies.values()))
        states, entries = [everything(library)], []
        for step in moves:
            changes = []
            for number, box in step:
                after = replace(copies[number], box=box)
                changes.append(Change(copies[number], after))
                copies[number] = after
            entry = apply(library, *changes)
            if entry.changes:
                entries.append(entry.seq)
                states.append(everything(library))
        while entries:
            assert everything(library) == states.pop()
            take_back(library, entries.pop())
        assert everything(library) == states.pop()
        with library.reading() as records:
            assert verify_chain(records) is None
