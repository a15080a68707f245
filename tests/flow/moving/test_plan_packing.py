"""A plan over the library's own copies, booked in one transaction and taken back as one."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from intake.edges.store import staging
from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_in_box
from intake.edges.store.queries.ledger_entries import ledger_entry
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.moving import box_lifecycle, masses, plan_packing
from intake.flow.papers.plan_papers import box_names, piles_words, plan_paper, plan_remarks
from intake.flow.undo import undo
from intake.model.boxes import Box, BoxState
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState, Edition
from intake.model.packing import PackingRules
from intake.packing.packing_plan import BoxFlaw
from tests.flow.conftest import NOW, import_text


def plan(library: Library, **more: object) -> plan_packing.Planned:
    with library.reading() as records:
        return plan_packing.plan_copies(
            records,
            (),
            going=lambda: False,
            **more,  # type: ignore[arg-type] # keyword by keyword
        )


def test_closed_boxes_are_left_alone_and_open_ones_filled(library: Library) -> None:
    box_lifecycle.close_box(library, "1", station="test")
    planned = plan(library)
    numbers = [box.number for box in planned.plan.boxes]
    assert "B1-56" not in numbers
    assert "B2-47" in numbers
    with library.reading() as records:
        closed = {copy.accession for copy in copies_in_box(records, "B1-56")}
    assert not closed & {item.key for box in planned.plan.boxes for item in box.items}


def test_a_plan_is_booked_and_undone_as_one(library: Library) -> None:
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.close_box(library, "2", station="test")
    everything = plan(library, states=frozenset(CopyState))
    assert all(box.number == "" for box in everything.plan.boxes)
    with pytest.raises(RefusedError, match="packed meanwhile"):
        plan_packing.book(library, everything, station="test")
    for _ in range(2):
        undo(library, station="test")
    opened = plan(library, states=frozenset(CopyState))
    numbers, _entry = plan_packing.book(library, opened, station="test")
    with library.reading() as records:
        assert all(box is not None and box.state is BoxState.OPEN for box in map(partial(records.get, Box), numbers))
        held = {copy.accession for number in numbers for copy in copies_in_box(records, number)}
        assert held == {item.key for box in opened.plan.boxes for item in box.items}


def test_a_large_plan_is_booked_box_by_box_and_undone_as_one(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staging, "LOT", 1)
    import_text(library, tmp_path, ListKind.EDITIONS, "key,title,height_mm,width_mm,mass_g\nQ,Quails,300,240,9000\n")
    import_text(library, tmp_path, ListKind.COPIES, "key\nQ\nQ\nQ\nQ\nQ\n")
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.close_box(library, "2", station="test")
    numbers, entry = plan_packing.book(library, plan(library), station="test")
    assert len(numbers) > 1
    with library.reading() as records:
        entries = [ledger_entry(records, seq) for seq in range(entry - len(numbers) + 1, entry + 1)]
        packed = {number: {copy.accession for copy in copies_in_box(records, number)} for number in numbers}
    assert [{change.key for change in one.changes} for one in entries if one is not None] == [
        {number, *packed[number]} for number in numbers
    ]
    undo(library, entry, station="test")
    with library.reading() as records:
        assert not records.get_many(Box, numbers)


def test_copies_at_hand_get_boxes_for_the_room_of_their_subject(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "key\nG2\nO1\n")
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.close_box(library, "2", station="test")
    planned = plan(library)
    assert [(box.room, len(box.items)) for box in planned.plan.boxes] == [("Study", 2)]
    numbers, _ = plan_packing.book(library, planned, station="test")
    assert numbers[0].startswith("B3-")


def test_a_plan_knows_sets_values_and_titles(library: Library) -> None:
    planned = plan(library, states=frozenset(CopyState))
    items = {item.key.split("-")[0]: item for box in planned.plan.boxes for item in box.items}
    ferns, gulls, charts = items["A1"], items["A2"], items["A4"]
    assert (ferns.order, items["A5"].order, gulls.order) == ((1, "1"), (2, "2"), (0, ""))
    assert ferns.set_key == items["A5"].set_key != ""
    assert gulls.set_key == ""
    assert planned.set_titles == {ferns.set_key: "Ferns"}
    assert [(item.value, item.currency) for item in (ferns, gulls, charts)] == [(120, "EUR"), (0, ""), (900, "USD")]
    assert planned.titles[ferns.key] == "Ferns of the Outer Isles, vol. 1"
    # No mass of any edition is stated or can be worked out: all five are guessed.
    assert planned.guessed == 5


def test_an_empty_plan_is_not_booked(library: Library) -> None:
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.close_box(library, "2", station="test")
    with pytest.raises(RefusedError, match="has no boxes"):
        plan_packing.book(library, plan(library), station="test")


def test_a_kind_of_box_as_typed() -> None:
    kind = plan_packing.read_kind("tea chest", "16 x 13 x 12 in", "2 lb", "40 lb", "12")
    assert (round(kind.inner_mm[0]), round(kind.tare_g), round(kind.limit_g), kind.count) == (406, 907, 18144, 12)
    assert plan_packing.read_kind("x", "1x1x1 m", "1 kg", "9 kg", "-").count is None
    with pytest.raises(RefusedError, match="not a number"):
        plan_packing.read_kind("x", "1x1x1 m", "1 kg", "9 kg", "few")
    with pytest.raises(RefusedError, match="leaves no box to fill"):
        plan_packing.read_kind("x", "1x1x1 m", "1 kg", "9 kg", "0")
    with pytest.raises(UsageError, match="Size '42x33x31' has no unit; add mm, cm or in at its end"):
        plan_packing.read_kind("x", "42x33x31", "1 kg", "9 kg", "-")
    with pytest.raises(UsageError, match="no unit"):
        plan_packing.read_kind("x", "1x1x1 m", "1", "9 kg", "-")


def test_masses_come_from_the_catalog_then_from_paper_then_from_the_middle() -> None:
    stated = [Edition(id=n, title="t", mass_g=1000.0 + 100 * n) for n in range(3)]
    known = masses.learn(stated)
    assert known.of(stated[0]).mass_g.mean == 1000
    assert known.of(Edition(id=9, title="bare")).mass_g.mean == 1100
    reckoned = known.of(Edition(id=8, title="t", pages=352, height_mm=296, width_mm=235)).mass_g
    assert reckoned.how == "from extent and trim size"
    assert masses.learn([]).of(Edition(id=7, title="bare")).mass_g is masses.NOTHING_KNOWN
    assert "stand as computed" in masses.learn([]).words()


def test_a_plan_of_nothing_says_so_and_no_more(library: Library) -> None:
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, station="test")
    planned = plan(library, states=frozenset())
    assert plan_remarks(planned) == ["No copy is waiting to be packed."]


def test_a_plan_without_a_box_computes_no_least_count(library: Library) -> None:
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, station="test")
    tiny = plan_packing.read_kind("tiny", "20 x 20 x 20 mm", "1 g", "9 kg", "1")
    with library.reading() as records:
        planned = plan_packing.plan_copies(records, [tiny], states=frozenset(CopyState), going=lambda: False)
    assert planned.plan.left
    assert not planned.plan.boxes
    assert plan_remarks(planned) == ["For no copy was a place in a box found."]


def test_new_boxes_are_counted_by_themselves_beside_the_open_ones(library: Library) -> None:
    planned = plan(library, states=frozenset(CopyState), rules=PackingRules(together=False))
    boxes = [replace(planned.plan.boxes[0], number=number) for number in ("B7-02", "", "B9-84", "", "")]
    assert box_names(boxes) == ["Box B7-02", "New box 1", "Box B9-84", "New box 2", "New box 3"]


def test_no_masses_at_all_still_make_a_plan(tmp_path: Path, library: Library) -> None:
    planned = plan(library, states=frozenset(CopyState), rules=PackingRules(together=False))
    assert planned.plan.boxes
    assert not planned.plan.left


def test_a_time_that_is_up_ends_reading_too_and_what_was_not_planned_is_counted(library: Library) -> None:
    for box in ("1", "2"):
        box_lifecycle.close_box(library, box, station="test")
    planned = plan(library, states=frozenset(CopyState), in_time=lambda: False)
    assert (planned.plan.boxes, planned.left_out) == ((), 5)
    assert plan(library, states=frozenset(CopyState)).left_out == 0


def test_an_open_box_that_cannot_be_filled_is_said_and_its_copies_are_printed(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "key\nG2\n")
    with library.reading() as records:
        box = records.get(Box, "B2-47")
        assert box is not None
    # Ferns of the Inner Isles is 280 mm high: it lies in no box of 10 cm.
    small = replace(box, length_mm=100.0, width_mm=100.0, height_mm=100.0)
    library.apply(Action(ActionKind.MEASURE_BOX, box.number, "test"), [Change(box, small)])
    planned = plan(library)
    second = next(box for box in planned.plan.boxes if box.number == "B2-47")
    assert (second.flaws[0], len(second.items), second.placed) == (BoxFlaw.NO_PILES, 1, ())
    assert piles_words(second) == "none found"
    assert any(
        remark.startswith("Box B2-47: what lies in it does not fit in flat piles") for remark in plan_remarks(planned)
    )
    printed = next(box for box in plan_paper(planned, NOW.date()).boxes if box.name == "Box B2-47")
    assert [(copy.title, copy.pile, copy.layer) for copy in printed.copies] == [
        ("Ferns of the Inner Isles, vol. 2", None, None)
    ]
    others = [box for box in planned.plan.boxes if box.number != "B2-47"]
    assert all(piles_words(box).isdigit() for box in others)
