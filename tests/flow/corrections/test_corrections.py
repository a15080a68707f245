"""Every correction: shown without writing a byte, made as one entry, taken back whole; and what each refuses."""

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.fetching import fetch
from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.shelves import copies_on_shelves
from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import RECORD_TYPES
from intake.errors import ChangedMeanwhileError, IntakeError, RefusedError, UsageError
from intake.flow.corrections.add_copies import plan_added_copies
from intake.flow.corrections.correction_plan import CorrectionPlan, apply_correction, plan_lines
from intake.flow.corrections.edit_copy import plan_copy_edit
from intake.flow.corrections.edit_edition import plan_edition_edit
from intake.flow.corrections.merge_editions import plan_edition_merge
from intake.flow.corrections.move_copies import ToBox, ToHand, ToShelf, plan_move
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_edition_withdrawal, plan_withdrawal
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.find_lines import find_anything
from intake.flow.lookup.history import copy_history
from intake.flow.lookup.resolve import find_copy, find_edition, find_shelf
from intake.flow.moving import box_lifecycle
from intake.flow.moving.pack_copies import pack
from intake.flow.moving.progress import progress
from intake.flow.shelves.find_room import put
from intake.flow.shelves.shelve_copy import shelve
from intake.flow.undo import undo
from intake.flow.unpacking.station import book_line
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy, worth
from intake.flow.values.value_sets import set_states
from intake.model.editions import Copy, CopyState, Edition, Grade
from intake.model.sightings import Query, Sighting
from intake.model.valuations import Basis
from intake.model.withdrawals import Withdrawal, WithdrawalReason
from tests.flow.conftest import COPIES, NOW, booked, import_text, queued
from tests.made_library import copy_library

TODAY = date(2026, 3, 31)
SOLD = WithdrawalTerms(
    reason=WithdrawalReason.SOLD, on=date(2026, 3, 1), amount=Decimal("40.00"), currency="eur", note="to a shop"
)
GIVEN = WithdrawalTerms(reason=WithdrawalReason.GIVEN_AWAY, on=TODAY)
LOST = WithdrawalTerms(reason=WithdrawalReason.LOST, on=TODAY)

Plan = Callable[[LibraryReader], CorrectionPlan]


@pytest.fixture(scope="module")
def home_made(library_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("home")
    with copy_library(library_made, folder / "library") as library:
        box_lifecycle.close_box(library, "1", station="test")
        box_lifecycle.check_in(library, "1", station="test")
        box_lifecycle.close_box(library, "2", station="test")
        import_text(library, folder, ListKind.PRINTINGS, "key,printing,year\nG1,1,1980\nG1,2,1981\nG2,1,1996\n")
        import_text(library, folder, ListKind.COPIES, "box,key,printing,grade\n3,P6,,\n,G2,1,Good\n")
        booked(book_line(library, "1", "9780306406157", request="r1", station="test", now=NOW))
        put(library, "1", station="test", now=NOW)
    return folder / "library"


@pytest.fixture
def home(home_made: Path, tmp_path: Path) -> Iterator[Library]:
    """Box 1 arrived, its ferns on a shelf; box 2 closed; box 3 open with an issue; a guide at hand."""
    with copy_library(home_made, tmp_path / "library") as opened:
        yield opened


def withdrawal(copy: str, terms: WithdrawalTerms, **more: bool) -> Plan:
    return lambda records: plan_withdrawal(records, [copy], terms, today=TODAY, station="test", **more)


def edit(copy: str, *values: str, clear: tuple[str, ...] = ()) -> Plan:
    return lambda records: plan_copy_edit(records, copy, values=values, clear=clear, station="test")


def edition(name: str, *values: str, clear: tuple[str, ...] = ()) -> Plan:
    return lambda records: plan_edition_edit(records, name, values=values, clear=clear, station="test")


def move(copy: str, target: ToBox | ToShelf | ToHand, **more: bool) -> Plan:
    return lambda records: plan_move(records, [copy], target, now=NOW, station="test", **more)


def merge(other: str, kept: str, *, take: tuple[str, ...] = (), despite: bool = False) -> Plan:
    return lambda records: plan_edition_merge(records, other, kept, take=take, despite=despite, station="test")


def add(name: str, *values: str, count: int = 1, box: str = "", number: str = "", shelf: str = "") -> Plan:
    on_shelf = ToShelf(shelf) if shelf else None
    return lambda records: plan_added_copies(
        records,
        name,
        values=values,
        count=count,
        box_text=box,
        shelf=on_shelf,
        number=number,
        now=NOW,
        station="test",
    )


def make(library: Library, plan: Plan) -> int:
    """Make a correction and return the number of its entry."""
    with library.reading() as records:
        planned = plan(records)
    applied = apply_correction(library, planned)
    assert applied is not None
    return applied.entry.seq


def everything(library: Library) -> dict[type, tuple[object, ...]]:
    with library.reading() as records:
        assert verify_chain(records) is None
        return {kind: fetch(records.connection, kind) for kind in RECORD_TYPES}


CORRECTIONS: dict[str, Plan] = {
    "edition edited": edition("F1", "title=Ferns of the Outmost Isles", "pages=310"),
    "field emptied": edition("F1", clear=("number", "contributors")),
    "edition put into a new set": edition("G1", "set=Shore birds", "volume=1"),
    "editions merged": merge("G2", "G1", despite=True),
    "editions merged, fields taken": merge("G2", "G1", take=("year", "edition"), despite=True),
    "edition withdrawn": lambda records: plan_edition_withdrawal(records, "F1", SOLD, today=TODAY, station="test"),
    "copy withdrawn": withdrawal("1", SOLD),
    "copy withdrawn out of an open box": withdrawal("6", GIVEN),
    "copy edited": edit("7", "grade=Fine", "jacket=none", "signed=the author"),
    "copy of another edition": edit("7", "edition=G1"),
    "copies added": add("O1", "grade=Poor", count=3),
    "copy added to a box": add("O1", box="3"),
    "copy moved to a box": move("7", ToBox("3")),
    "copy moved between boxes": move("6", ToHand()),
    "copy moved to a shelf": move("1", ToShelf("4")),
    "copy taken off its shelf": move("1", ToHand()),
    "copies added on a shelf": add("F1", count=2, shelf="4"),
    "copy taken out of a box onto a shelf": move("6", ToShelf("4")),
}


@pytest.mark.parametrize("plan", CORRECTIONS.values(), ids=CORRECTIONS.keys())
def test_a_correction_is_one_entry_and_is_taken_back_whole(home: Library, plan: Plan) -> None:
    before = everything(home)
    with home.reading() as records:
        planned = plan(records)
        assert plan_lines(records, planned)
    assert everything(home) == before, "a plan writes nothing"
    applied = apply_correction(home, planned)
    assert applied is not None
    assert everything(home) != before
    if any(change.before not in (None, change.after) for change in planned.changes):
        with pytest.raises(RefusedError):
            apply_correction(home, planned)  # which supposes what was
    undo(home, applied.entry.seq, station="test")
    assert everything(home) == before


def test_what_a_correction_changes_is_shown_field_by_field(home: Library) -> None:
    with home.reading() as records:
        plan = edition("F1", "title=Ferns of the Outmost Isles", "height_mm=28.5 cm", clear=("year",))(records)
        assert plan_lines(records, plan) == (
            "Edition 'Ferns of the Outmost Isles, vol. 1' (F1):",
            "  title: Ferns of the Outer Isles → Ferns of the Outmost Isles",
            "  year: 1990 → none",
            "  height in mm: 280 → 285",
        )
        priced = edition("F1", "price=1.234,50", "currency=EUR")(records)
        assert [change.after.price for change in priced.changes if isinstance(change.after, Edition)] == [
            Decimal("1234.50")
        ]
        plan = withdrawal("1", SOLD)(records)
        assert plan_lines(records, plan) == (
            "Copy A1-59 of 'Ferns of the Outer Isles, vol. 1':",
            "  state: shelved → withdrawn",
            "  shelf: Study · A · 1 → none",
            "  position on the shelf: 1 → none",
            "  shelfmark: A 1 → none",
            "Copy A1-59 leaves the collection: sold 2026-03-01, EUR 40.00, to a shop.",
        )
    with home.reading() as records:
        assert edit("7", "grade=Good")(records).is_empty, "it is so already"


REFUSED: dict[str, tuple[Plan, type[IntakeError]]] = {
    "no such edition": (edition("NOPE", "title=x"), RefusedError),
    "no such field": (edition("F1", "titel=x"), UsageError),
    "no value": (edition("F1", "title="), UsageError),
    "not a number": (edition("F1", "pages=many"), UsageError),
    "wrong check digit": (edition("F1", "number=9780306406158"), UsageError),
    "no title": (edition("F1", clear=("title",)), UsageError),
    "emptied and given": (edition("F1", "year=1990", clear=("year",)), UsageError),
    "a key that another has": (edition("F1", "key=F2"), RefusedError),
    "merged with itself": (merge("F1", "978-0-306-40615-7"), RefusedError),
    "different numbers": (merge("G1", "G2"), RefusedError),
    "different volumes": (merge("F1", "F2"), RefusedError),
    "different issues": (merge("P5", "P6"), RefusedError),
    "merge of no field": (merge("G1", "G2", take=("colour",), despite=True), UsageError),
    "sold tomorrow": (withdrawal("1", WithdrawalTerms(reason=WithdrawalReason.SOLD, on=date(2026, 4, 1))), UsageError),
    "amount without currency": (
        withdrawal("1", WithdrawalTerms(reason=WithdrawalReason.SOLD, on=TODAY, amount=Decimal(4))), UsageError,
    ),
    "finer than the currency": (
        withdrawal("1", WithdrawalTerms(reason=WithdrawalReason.SOLD, on=TODAY, amount=Decimal("4.5"), currency="JPY")),
        UsageError,
    ),
    "still in an arrived box": (withdrawal("2", SOLD), RefusedError),
    "in a closed box": (withdrawal("5", LOST), RefusedError),
    "moved out of a closed box": (move("5", ToHand()), RefusedError),
    "moved into a closed box": (move("7", ToBox("2")), RefusedError),
    "moved onto a room": (move("7", ToShelf("1")), RefusedError),
    "behind a copy that is not there": (move("7", ToShelf("4", "1")), RefusedError),
    "no grade": (edit("7", "grade=splendid"), UsageError),
    "no such printing": (edit("7", "printing=9"), RefusedError),
    "a copy of no edition": (edit("7", clear=("edition",)), UsageError),
    "brought back, being here": (edit("7", clear=("withdrawn",)), RefusedError),
    "added to a closed box": (add("O1", box="2"), RefusedError),
    "a number that is taken": (add("O1", number="A1-59"), RefusedError),
    "one number for two": (add("O1", number="A90-88", count=2), UsageError),
    "too many": (add("O1", count=100_000), UsageError),
}  # fmt: skip


@pytest.mark.parametrize(("plan", "error"), REFUSED.values(), ids=REFUSED.keys())
def test_what_contradicts_the_records_is_refused(home: Library, plan: Plan, error: type[IntakeError]) -> None:
    before = everything(home)
    with home.reading() as records, pytest.raises(error):
        plan(records)
    assert everything(home) == before


def test_a_withdrawn_copy_leaves_the_counts_and_stays_in_the_history(home: Library) -> None:
    def counted() -> tuple[int, int, int, tuple[int, int]]:
        with home.reading() as records:
            total = worth(records, "EUR", on=TODAY)
            ferns = next(state for state in set_states(records) if state.set.title == "Ferns")
            first = next(row for row in progress(records).boxes if row.box.number == "B1-56")
            return (
                len(total.worths),
                sum(len(v.copies) for v in ferns.volumes),
                first.listed,
                (first.found, first.waits),
            )

    assert counted() == (7, 2, 4, (1, 3))
    make(home, withdrawal("1", SOLD))
    assert counted() == (6, 1, 3, (0, 3))
    with home.reading() as records:
        (line,) = (line for line in find_anything(records, "F1", 5).lines if line.copy)
        assert (line.copy, line.state, line.where) == ("A1-59", "withdrawn", "sold 2026-03-01, EUR 40.00, to a shop")
        assert copy_history(records, "A1-59")[-1].what == "withdraw copies"
        copy = find_copy(records, "1")
        assert (copy.box, copy.place, copy.shelfmark) == ("B1-56", None, "")
    make(home, edit("1", clear=("withdrawn",)))
    assert counted() == (7, 2, 4, (1, 3))
    with home.reading() as records:
        assert (find_copy(records, "1").state, withdrawals_of(records, ["A1-59"])) == (CopyState.UNPACKED, {})


def test_a_list_imported_again_makes_no_withdrawn_copy_anew(home: Library, tmp_path: Path) -> None:
    make(home, withdrawal("1", SOLD))
    again = import_text(home, tmp_path, ListKind.COPIES, COPIES)
    assert (again.made, again.altered, again.unchanged) == (0, 0, 5)


def test_a_scan_of_a_withdrawn_copy_is_asked_about(home: Library) -> None:
    make(home, withdrawal("1", GIVEN))
    own = queued(book_line(home, "1", "A1-59", request="r2", station="test", now=NOW))
    assert "withdrawn" in own.query.reason
    by_number = queued(book_line(home, "1", "9780306406157", request="r3", station="test", now=NOW))
    assert isinstance(by_number.query, Query)
    with home.reading() as records:
        assert find_copy(records, "1").state is CopyState.WITHDRAWN


def test_what_is_recorded_of_a_withdrawal_is_corrected(home: Library) -> None:
    make(home, withdrawal("1", GIVEN))
    make(home, withdrawal("1", SOLD))
    with home.reading() as records:
        recorded = records.get(Withdrawal, "A1-59")
        assert recorded == Withdrawal(
            copy="A1-59", on=date(2026, 3, 1), reason=WithdrawalReason.SOLD, was=CopyState.SHELVED,
            amount=Decimal("40.00"), currency="EUR", note="to a shop",
        )  # fmt: skip
        with pytest.raises(RefusedError):
            plan_edition_withdrawal(records, "F1", SOLD, today=TODAY, station="test")
        with pytest.raises(RefusedError):
            move("1", ToHand())(records)
    value = Figure(amount=Decimal(5), currency="EUR", on=TODAY, basis=Basis.MARKET)
    steps: tuple[Callable[[], object], ...] = (
        lambda: put(home, "1", station="test", now=NOW),
        lambda: shelve(home, "1", "4", station="test", now=NOW),
        lambda: pack(home, "3", "A1-59", station="test"),
        lambda: value_copy(home, "1", value, station="test", today=TODAY),
    )
    for step in steps:
        with pytest.raises(RefusedError, match="withdrawn"):
            step()


def test_a_copy_that_never_was_in_its_closed_box_may_leave(home: Library) -> None:
    make(home, withdrawal("5", SOLD, despite_box=True))
    with home.reading() as records:
        row = next(row for row in progress(records).boxes if row.box.number == "B2-47")
        assert row.listed == 0
    make(home, edit("5", clear=("withdrawn",)))
    with home.reading() as records:
        copy = find_copy(records, "5")
        assert (copy.state, copy.box) == (CopyState.AT_HAND, None)


def test_a_missing_copy_is_lost_and_never_sold(home: Library) -> None:
    box_lifecycle.check_in(home, "2", station="test")
    box_lifecycle.finish(home, "2", station="test")
    with home.reading() as records, pytest.raises(RefusedError):
        withdrawal("5", SOLD)(records)
    make(home, withdrawal("5", LOST))
    make(home, edit("5", clear=("withdrawn",)))
    make(home, move("5", ToHand()))
    with home.reading() as records:
        copy = find_copy(records, "5")
        assert (copy.state, copy.box) == (CopyState.UNPACKED, "B2-47")
    make(home, withdrawal("5", SOLD))


def test_merged_copies_keep_their_numbers_and_get_the_printing_that_is_the_same(home: Library) -> None:
    make(home, merge("G2", "G1", take=("edition",), despite=True))
    with home.reading() as records:
        kept = find_edition(records, "G1")
        assert (kept.year, kept.statement, kept.number) == (1980, "2nd edition", "9780804429573")
        copy = records.get(Copy, "A7-05") or find_copy(records, "7")
        assert (copy.edition_id, copy.grade) == (kept.id, Grade.GOOD)
        with pytest.raises(RefusedError):
            find_edition(records, "G2")


def test_an_own_key_names_the_one_copy_of_its_edition(home: Library) -> None:
    with home.reading() as records:
        assert find_copy(records, "F1").accession == "A1-59"
        assert find_copy(records, "978-0-306-40615-7").accession == "A1-59"
        with pytest.raises(RefusedError):
            find_copy(records, "O2")
    make(home, add("F1"))
    with home.reading() as records, pytest.raises(RefusedError, match="2 copies"):
        find_copy(records, "F1")


def test_another_station_is_not_overruled(home: Library) -> None:
    with home.reading() as records:
        planned = move("1", ToShelf("4"))(records)
    make(home, move("7", ToShelf("4")))
    with pytest.raises(ChangedMeanwhileError):
        apply_correction(home, planned)
    with home.reading() as records:
        assert records.get(Edition, 1) is not None


def test_new_copies_are_put_on_a_shelf_by_the_rule_of_order(home: Library) -> None:
    """They stand beside what is there, left to right without a gap, and were seen there; none is in a box too."""
    with home.reading() as records:
        before = records.all(Copy)
        seen = len(records.all(Sighting))
        shelf = find_shelf(records, "4").number
    make(home, add("F1", count=2, shelf="4"))
    with home.reading() as records:
        new = [copy for copy in records.all(Copy) if copy.accession not in {old.accession for old in before}]
        row = [copy for copy, _ in copies_on_shelves(records, [shelf])[shelf]]
        assert len(records.all(Sighting)) == seen + 2
    assert len(new) == 2
    assert {copy.accession for copy in new} <= {copy.accession for copy in row}
    assert all((copy.state, copy.box, bool(copy.shelfmark)) == (CopyState.SHELVED, None, True) for copy in new)
    assert [copy.position for copy in row] == list(range(1, len(row) + 1))
    with pytest.raises(UsageError):
        make(home, add("F1", box="3", shelf="4"))
