"""Reasons, decisions and kinds of actions have words; what cannot be read as data is shown as it is."""

import sqlite3
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.edges.store.library import Library
from intake.edges.store.migrate import DATABASE
from intake.edges.store.queries.chain_check import verify_chain
from intake.edges.store.queries.ledger_entries import latest_entries
from intake.flow.lookup.action_words import action_words
from intake.flow.lookup.history import latest_history
from intake.flow.lookup.reason_words import query_decision, query_reason, reason_words, reasons_words
from intake.model.changes import Action, ActionKind, made
from intake.model.editions import BookSet, CopyState
from intake.model.reasons import Reason, ReasonKind, reasons_in, reasons_text
from intake.model.sightings import Query, QueryDecision, ReadingMethod, methods_in, methods_text
from tests.flow.conftest import NOW
from tests.made_library import new_library

WHOLE = {"copy": "A1", "box": "B1", "state": CopyState.PACKED, "number": "9", "add_on": "05", "count": 2, "of": 3}


@pytest.mark.parametrize("kind", ReasonKind)
def test_every_reason_has_words_with_no_fact_left_out_by_mistake(kind: ReasonKind) -> None:
    words = reason_words(Reason(kind, **WHOLE, texts=("one", "two")))  # type: ignore[arg-type] # see WHOLE
    assert words
    assert "None" not in words
    assert not words.endswith(".")


@pytest.mark.parametrize("kind", [kind for kind in ActionKind if kind is not ActionKind.UNKNOWN])
def test_every_kind_of_action_has_words(kind: ActionKind) -> None:
    assert not action_words(Action(kind, "1")).startswith("unknown step")


FACTS = st.builds(
    Reason,
    kind=st.sampled_from(ReasonKind),
    copy=st.none() | st.text(min_size=1),
    box=st.none() | st.just("B1"),
    state=st.none() | st.sampled_from(CopyState),
    number=st.none() | st.just("978-0"),
    add_on=st.none() | st.just("05"),
    count=st.none() | st.integers(1, 9),
    of=st.none() | st.integers(1, 9),
    texts=st.lists(st.text(), max_size=3).map(tuple),
)


@given(st.lists(FACTS, min_size=1, max_size=3).map(tuple))
def test_reasons_come_back_from_a_query_as_they_went_in(reasons: tuple[Reason, ...]) -> None:
    assert reasons_in(reasons_text(reasons)) == reasons


@pytest.mark.parametrize(
    "text",
    [
        "two editions carry it",
        "",
        "[1]",
        '[{"kind":"a kind of a newer program"}]',
        '[{"count":2}]',
        '[{"kind":"alike","more":1}]',
        '[{"kind":"alike","texts":"x"}]',
        "[{",
    ],
)
def test_what_holds_no_reasons_is_shown_as_it_is(text: str) -> None:
    assert reasons_in(text) is None
    assert query_reason(Query(id=1, at=NOW, station="test", reason=text)) == text


def test_reasons_in_one_line() -> None:
    listed, alike = Reason(ReasonKind.LISTED_HERE), Reason(ReasonKind.ALIKE, count=2)
    doubtful = (Reason(ReasonKind.UNCERTAIN_READING), listed, alike)
    assert reasons_words(doubtful) == (
        "the reading is not certain enough to book; if it is right: "
        "listed in this box; 2 alike; any of them may be booked"
    )
    absent = Reason(ReasonKind.NOT_IN_CATALOG, number="978-3-611-48410-0")
    swapped = Reason(ReasonKind.NEIGHBOURS_SWAPPED, number="978-3-16-148410-0")
    assert reasons_words((absent, swapped)) == (
        "no edition in the catalog carries 978-3-611-48410-0, but 978-3-16-148410-0, two neighbours swapped, is in it"
    )


def test_decisions() -> None:
    def said(decision: str) -> str:
        return query_decision(Query(id=1, at=NOW, station="test", reason="", copy="A1", same_as=3, decision=decision))

    assert said(QueryDecision.NEW_COPY) == "copy A1, which was on no list"
    assert said(QueryDecision.SAME_BOOK) == "the same book as query 3"
    assert said(QueryDecision.NOT_A_BOOK) == "not a book"
    assert said("new edition, copy A5") == "new edition, copy A5"


@pytest.mark.parametrize("method", ReadingMethod)
def test_methods_come_back_from_a_sighting_as_they_went_in(method: ReadingMethod) -> None:
    assert methods_in(methods_text([method])) == (method,)
    assert methods_in("") == ()


@pytest.mark.folder
def test_an_entry_of_a_kind_that_this_program_does_not_know(tmp_path: Path) -> None:
    """Written by a newer program its digest is right; altered by hand it is not; neither stops anything."""
    with new_library(tmp_path / "library") as library:
        action = Action(ActionKind.UNKNOWN, "9", unknown_name="lend copy")
        library.apply(action, made(BookSet(id=1, title="Invented herbal")))
        assert words_of(library) == [("lend copy", "unknown step 'lend copy'")]
        with library.reading() as records:
            assert verify_chain(records) is None
            assert latest_entries(records)[0].action == action
        connection = sqlite3.connect(library.folder / DATABASE)
        connection.execute("UPDATE ledger SET name = 'unpack copy'")
        connection.commit()
        connection.close()
        assert words_of(library) == [("unpack copy", "unpack copy")]
        with library.reading() as records:
            assert verify_chain(records) == 1


def words_of(library: Library) -> list[tuple[str, str]]:
    with library.reading() as records:
        lines = latest_history(records, 9).lines
        return [(entry.action.name, line.what) for entry, line in zip(latest_entries(records), lines, strict=True)]
