"""A rehearsed step changes nothing, refuses as the step itself does, and names just what the step then does."""

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges import clock
from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import latest_entries, ledger_head
from intake.errors import RefusedError
from intake.flow.corrections.rehearse import Rehearsal, rehearse
from intake.flow.moving.box_lifecycle import close_box, finish, open_box
from intake.flow.moving.pack_copies import pack_all
from intake.flow.shelves.make_places import make_bookcase, parse_shelves
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.figures import Figure
from intake.flow.values.value_copies import value_copy
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Provisional, made
from intake.model.editions import Copy, Edition
from intake.model.identifiers import OwnKind
from intake.model.places import Place, PlaceKind
from intake.model.valuations import Basis
from tests.made_library import new_library

CASE = Place(number="", kind=PlaceKind.BOOKCASE, name="North")
BOARD = Place(number="", kind=PlaceKind.SHELF, name="")
FIGURE = Figure(amount=Decimal("40.00"), currency="EUR", on=date(2026, 1, 15), basis=Basis.MARKET)
TODAY = date(2026, 2, 1)

STEPS: dict[str, tuple[Callable[[Library], object], str, int]] = {
    "open": (lambda library: open_box(library, Box(number="", room="Study"), station="test"), "A new box is made.", 1),
    "open for a new room": (
        lambda library: open_box(library, Box(number="", room="new wing"), station="test"), "room: new wing", 1
    ),
    "open of a kind": (
        lambda library: open_box(library, Box(number="", kind="book box"), station="test"), "kind: book box", 1
    ),
    "pack": (lambda library: pack_all(library, "1", ["K1"], station="test"), "box: none → B1-56", 1),
    "bookcase": (
        lambda library: make_bookcase(
            library, parse_shelves("two shelves of 800 mm"), room="Study", bookcase=CASE, board=BOARD, lowest_mm=None,
            station="test",
        ),
        "The bookcase 'North' is made.",
        1,
    ),
    "rate": (
        lambda library: enter_rate(library, "EUR", "SEK", Decimal("11.2"), on=TODAY, station="test", today=TODAY),
        "The rate of 2026-02-01, EUR 1 = SEK 11.2, is made.",
        1,
    ),
    "value": (
        lambda library: value_copy(library, "1", FIGURE, station="test", today=TODAY),
        "The value of copy A1-59, EUR 40.00, for 'Fog', is made.",
        1,
    ),
}  # fmt: skip


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """A library with an open box and a copy at hand."""
    with new_library(tmp_path / "library") as opened:
        new = Provisional()
        edition = Edition(id=new.id(), key="K1", title="Fog")
        copy = Copy(accession=new.number(OwnKind.COPY), edition_id=edition.id)
        opened.apply(Action(ActionKind.IMPORT_EDITIONS, "k", "test"), made(edition, copy))
        open_box(opened, Box(number="1"), station="test")
        yield opened


@pytest.mark.parametrize("name", STEPS)
def test_what_is_rehearsed_is_what_is_done(library: Library, name: str) -> None:
    step, line, count = STEPS[name]
    with library.reading() as records:
        head, before = ledger_head(records), latest_entries(records, 1)[0].seq
    seen = rehearse(library, step)
    assert isinstance(seen, Rehearsal)
    assert line in [words.strip() for words in seen.lines]
    with library.reading() as records:
        assert ledger_head(records) == head, "a rehearsal changes nothing"
    again = rehearse(library, step)
    assert isinstance(again, Rehearsal)
    assert again.lines == seen.lines, "the same words as long as the same would be done"
    step(library)
    with library.reading() as records:
        entries = [entry for entry in latest_entries(records, 10) if entry.seq > before]
    assert len(entries) == count


def test_a_rehearsal_is_refused_as_the_step_is(library: Library) -> None:
    for step in (
        lambda library: close_box(library, "1", station="test"),
        lambda library: finish(library, "1", now=clock.now(), station="test"),
    ):
        with pytest.raises(RefusedError) as rehearsed:
            rehearse(library, step)
        with pytest.raises(RefusedError) as done:
            step(library)
        assert str(rehearsed.value) == str(done.value)


def test_a_step_that_changes_nothing_answers_as_itself(library: Library) -> None:
    rate = enter_rate(library, "EUR", "SEK", Decimal("11.2"), on=TODAY, station="test", today=TODAY)
    same = rehearse(
        library, lambda one: enter_rate(one, "EUR", "SEK", Decimal("11.2"), on=TODAY, station="test", today=TODAY)
    )
    assert same == rate
