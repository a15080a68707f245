"""Plans as sentences, each written out by hand; this is where the sentences are made."""

import pytest

from intake.shelving.instructions import room_sentences, step_sentence
from intake.shelving.make_room import FilledShelf, RoomPlan, Shift
from intake.shelving.moves import Step
from tests.shelving.making import book, space

A, B, C, D = (book(f"A{n}", name=name) for n, name in enumerate(("Auks", "Buntings", "Cranes", "Divers"), 1))
NAMES = {"S1": "A 1", "S2": "A 2"}
SHELVES = [FilledShelf(space("A 1"), ()), FilledShelf(space("A 2"), ())]


@pytest.mark.parametrize(
    ("step", "sentence"),
    [
        (Step((A,), "S1", "S2", B), "Move A1 'Auks' from A 1 to A 2, right after A2 'Buntings'."),
        (Step((A, B, C), "S1", "S2"), "Move 3 books, A1 'Auks' to A3 'Cranes', from A 1 to A 2, to the front."),
        (Step((A,), "S1", "S1", D), "On A 1, move A1 'Auks' right after A4 'Divers'."),
        (Step((A,), "S1", "S1"), "On A 1, move A1 'Auks' to the front."),
        (Step((A,), "S1", None), "Put A1 'Auks' from A 1 aside for now."),
        (Step((A,), None, "S2"), "Move A1 'Auks' from where it lies to A 2, to the front."),
        (
            Step((A, B), None, "S2"),
            "Move 2 books, A1 'Auks' to A2 'Buntings', from where you put them down to A 2, to the front.",
        ),
    ],
)
def test_one_step(step: Step, sentence: str) -> None:
    assert step_sentence(step, NAMES) == sentence


@pytest.mark.parametrize(
    ("shift", "sentence"),
    [
        (Shift((D,), 0, 1), "Move the last book of A 1 (A4 'Divers') to the front of A 2."),
        (Shift((D,), 1, 0), "Move the first book of A 2 (A4 'Divers') to the end of A 1."),
        (Shift((B, C, D), 0, 1), "Move the last 3 of A 1 (from A2 'Buntings' on) to the front of A 2."),
        (Shift((B, C, D), 1, 0), "Move the first 3 of A 2 (up to A4 'Divers') to the end of A 1."),
        # Room that is kept is nothing to take in the hand.
        (Shift((book("", name="Volume 2"), D), 0, 1), "Move the last book of A 1 (A4 'Divers') to the front of A 2."),
    ],
)
def test_a_shift_comes_before_the_new_book(shift: Shift, sentence: str) -> None:
    plan = RoomPlan(target=0, before=(A,), after=(), shifts=(shift,))
    assert room_sentences(plan, SHELVES, [C]) == (sentence, "Then put it on A 1, right after A1 'Auks'.")


def test_where_the_new_book_goes() -> None:
    kept = book("", 40, name="Volume 2")
    for plan, sentence in (
        (RoomPlan(target=1, before=(A, B), after=(D,)), "Put it on A 2, right after A2 'Buntings'."),
        (RoomPlan(target=1, before=(A, kept), after=(D,)), "Put it on A 2, right after A1 'Auks'."),
        (RoomPlan(target=1, before=(kept,), after=(kept, D)), "Put it at the front of A 2, before A4 'Divers'."),
        (RoomPlan(target=0, before=(), after=()), "Put it on A 1, where no book is recorded yet."),
        (RoomPlan(target=0, before=(), after=(kept,)), "Put it on A 1, where no book is recorded yet."),
    ):
        assert room_sentences(plan, SHELVES, [C]) == (sentence,)


def test_room_that_is_kept_for_volumes_to_come() -> None:
    two, three, four = (book("", width, name=f"Volume {n}") for n, width in ((2, 30.4), (3, 40.2), (4, 20.0)))
    elsewhere = book("", 99, name="of another set")
    plan = RoomPlan(target=0, before=(A, two), after=(three, four, elsewhere))
    assert room_sentences(plan, SHELVES, [two, C, three, four])[1:] == (
        "Leave 30 mm free before it for Volume 2.",
        "Leave 60 mm free after it for Volume 3 and Volume 4.",
    )
