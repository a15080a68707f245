"""A library that an earlier program kept, opened by this one: its words are found as data, or shown as they are.

How the file was made is told beside it, in tests/edges/store/data/README.md. What is asserted here was taken from what
that program said when it did these steps.
"""

import gzip
from collections.abc import Iterator
from pathlib import Path

import pytest

from intake.edges.store.library import Library, open_library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.edges.store.queries.lists import change_texts_of_list, imported_lists
from intake.edges.store.queries.sightings import list_queries
from intake.edges.store.queries.words import find_editions, find_editions_like
from intake.errors import RefusedError
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.lists.export_everything import export_everything
from intake.flow.lists.import_everything import import_everything
from intake.flow.lookup.history import latest_history
from intake.flow.lookup.reason_words import query_decision, query_reason
from intake.flow.moving.reconcile import reconcile
from intake.flow.undo import undo
from intake.flow.unpacking import query_pile
from intake.model.changes import ActionKind
from intake.model.earlier import EarlierListing, EarlierMerge
from intake.model.editions import Copy, Edition
from intake.model.folding import fold
from intake.model.sightings import Query, QueryDecision, QueryState, Sighting, methods_in
from intake.model.withdrawals import Withdrawal, WithdrawalReason
from tests.flow.conftest import NOW

FILE = Path(__file__).parents[1] / "edges" / "store" / "data" / "library-0002.sqlite3.gz"
HEAD = "1e2b9053898069d57995f6a4c20957519ff65268c23f504e10aa1681ca77b8ed"
"""What `intake check` of that program printed last."""


@pytest.fixture
def old(tmp_path: Path) -> Iterator[Library]:
    folder = tmp_path / "library"
    folder.mkdir()
    (folder / DATABASE).write_bytes(gzip.decompress(FILE.read_bytes()))
    with open_library(folder) as library:
        yield library


def test_its_chain_is_whole_and_every_entry_has_a_kind(old: Library) -> None:
    assert [copy.name.partition("-before-")[2] for copy in (old.folder / "backups").iterdir()] == ["0008.sqlite3"]
    with old.reading() as records:
        assert verify_chain(records) is None
        assert ledger_head(records) == HEAD
        entries = latest_entries(records, 1000)
        assert (len(entries), entries[0].action.kind) == (147, ActionKind.UNDO)
        assert {entry.action.kind for entry in entries} >= {
            ActionKind.IMPORT_EDITIONS, ActionKind.DECIDE_QUERY, ActionKind.UNPACK_COPY, ActionKind.REPORT_CONDITION
        }  # fmt: skip
        assert ActionKind.UNKNOWN not in {entry.action.kind for entry in entries}


def test_its_copies_can_be_withdrawn(old: Library) -> None:
    """The table of withdrawals is made when it is opened, and is empty."""
    with old.reading() as records:
        assert records.all(Withdrawal) == ()
        terms = WithdrawalTerms(reason=WithdrawalReason.SOLD, on=NOW.date())
        plan = plan_withdrawal(records, ["A1-59"], terms, today=NOW.date(), station="test")
        before = records.get(Copy, "A1-59")
    assert apply_correction(old, plan) is not None
    undo(old, station="test")
    with old.reading() as records:
        assert (records.get(Copy, "A1-59"), records.all(Withdrawal)) == (before, ())
        assert verify_chain(records) is None


def test_its_lists_are_the_same_lists_in_a_library_made_from_its_records(old: Library, tmp_path: Path) -> None:
    """What lists said its ledger tells, in the older program's words: no table is filled when it is opened."""
    with old.reading() as records:
        assert (records.all(EarlierMerge), records.all(EarlierListing)) == ((), ())
        lists = imported_lists(records)
        said = {(*one, change.table, change.key) for one in lists for change in change_texts_of_list(records, *one)}
    assert {action for action, _ in lists} >= {ActionKind.IMPORT_EDITIONS, ActionKind.IMPORT_COPIES}
    written = export_everything(old, tmp_path / "out")
    result = import_everything(tmp_path / "again", tmp_path / "out", station="test")
    assert (result.bad_rows, result.rows) == ([], written.rows)
    with open_library(tmp_path / "again") as again, again.reading() as records:
        assert imported_lists(records) == lists
        assert {(*one, it.table, it.key) for one in lists for it in change_texts_of_list(records, *one)} == said


def test_its_history_reads_as_it_did(old: Library) -> None:
    with old.reading() as records:
        lines = latest_history(records, 4).lines
        assert [(line.seq, line.what, line.subject) for line in lines] == [
            (147, "undo", "entry 144: report condition, A48-24"),
            (146, "undo", "entry 145: decide query, query 13"),
            (145, "decide query", "query 13"),
            (144, "report condition", "A48-24"),
        ]


def test_its_books_on_no_list_are_found_however_they_were_recorded(old: Library) -> None:
    """A73 and A74 were decided at the query pile, A75 was recorded at the open box, A76 was taken back."""
    with old.reading() as records:
        found = {
            one.number: one.found_in for one in reconcile(records).found_elsewhere if one.listed_in == "on no list"
        }
        assert found == {"A73-90": "B1-56", "A74-81": "B3-38", "A75-72": "B4-29"}
        assert records.get(Copy, "A76-63") is None


def test_its_queries_are_shown_as_they_were_and_can_be_decided(old: Library) -> None:
    with old.reading() as records:
        queries = {query.id: query for query in list_queries(records)}
        assert query_reason(queries[10]) == "listed in this box and not yet seen"
        assert [(query_decision(queries[number])) for number in (1, 3, 7)] == [
            "not a book",
            "new copy A73-90",
            "new edition, copy A74-81",
        ]
        with pytest.raises(RefusedError, match=r"decided before \(new copy A73-90\)"):
            query_pile.find_query(records, 3)
        items = query_pile.pile(records)
        assert [item.query.id for item in items] == [2, 4, 8, 9, *range(10, 17)]
        again = items[-1]
    option = again.options[0]
    decided = query_pile.decide(old, again.query.id, option, station="test", now=NOW)
    with old.reading() as records:
        query = records.get(Query, again.query.id)
        assert query is not None
        assert (query.state, query.decision, query.copy) == (
            QueryState.DECIDED,
            QueryDecision.COPY_SEEN_AGAIN,
            decided.copy.accession,
        )
        assert verify_chain(records) is None


def test_its_sightings_are_read_and_its_steps_taken_back(old: Library) -> None:
    with old.reading() as records:
        methods = {method for sighting in records.all(Sighting) for method in methods_in(sighting.methods)}
    assert methods >= {"zxing", "typed", "person"}
    entry, _ = undo(old, 127, station="test")
    assert (entry.action.kind, entry.action.subject) == (ActionKind.DECIDE_QUERY, "7")
    with old.reading() as records:
        assert records.get(Copy, "A74-81") is None
        assert [query.id for query in list_queries(records, QueryState.WAITING)][:3] == [2, 4, 7]
        assert verify_chain(records) is None


def test_its_titles_are_searched_as_those_of_a_new_one(old: Library) -> None:
    """The folded column and its index are built when it is opened."""
    with old.reading() as records:
        editions = records.all(Edition)
        assert editions
        for edition in editions:
            assert edition in find_editions(records, edition.title, 100)
            word = max(fold(edition.title).split(), key=len)
            slip = word[:-2] + word[-1] + word[-2] if word[-1] != word[-2] else word
            found, near = find_editions_like(records, slip, 1000)
            assert slip == word or edition in found or word not in near.get(slip, ())
