"""The sentences about servers: what happened, to what, what to do now."""

import pytest

from intake.flow.lookup.server_words import FIELD_WORDS, answer_words, fault_words, note_words, value_words
from intake.flow.lookup.take_fields import FIELDS
from intake.model.lookups import (
    LookedUpRecord,
    RecordNote,
    RecordNoteKind,
    ServerAnswer,
    ServerFault,
    ServerTrouble,
)

SERVER = "https://catalog.example/books"


@pytest.mark.parametrize("kind", ServerTrouble)
def test_every_fault_says_what_happened_and_what_to_do(kind: ServerTrouble) -> None:
    words = fault_words(ServerFault(kind, "detail"))
    happened, _, cure = words.rpartition("; ")
    assert happened
    assert cure


def test_every_note_and_every_field_has_words() -> None:
    assert all(note_words(RecordNote(kind, "year", "c1987")).startswith("c1987: ") for kind in RecordNoteKind)
    assert tuple(FIELD_WORDS) == FIELDS


def test_whatever_of_an_answer_is_not_shown_is_said() -> None:
    answer = ServerAnswer(
        server=SERVER,
        records=(LookedUpRecord(),),
        others=2,
        unreadable=3,
        total=20,
        fault=ServerFault(ServerTrouble.CUT_OFF),
        kept=True,
    )
    assert answer_words(answer) == (
        f"{SERVER}: 1 found; 2 sent that are something else and were left out; "
        "3 that it could not give in a known format; 14 more not looked at; "
        "for the rest it broke off in the middle of its answer; try again later; "
        "as answered within the last day"
    )


def test_a_fault_is_never_written_as_nothing_found() -> None:
    fault = ServerFault(ServerTrouble.DIAGNOSTIC, "First record position out of range", 61)
    assert "not found" not in answer_words(ServerAnswer(server=SERVER, total=1, fault=fault))
    assert answer_words(ServerAnswer(server=SERVER)) == f"{SERVER}: not found"


@pytest.mark.parametrize(
    ("value", "words"),
    [(None, ""), ("Salt", "Salt"), (1987, "1987"), (280.0, "280"), (("A", "B"), "A; B"), (30.5, "30.5")],
)
def test_values(value: str | int | float | tuple[str, ...] | None, words: str) -> None:
    assert value_words(value) == words
