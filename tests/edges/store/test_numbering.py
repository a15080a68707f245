"""Plans have provisional keys; real ones are given when a plan is applied, and only then."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.ledger_entries import count_records
from intake.errors import RefusedError
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Provisional, is_provisional, made, supposing
from intake.model.editions import Copy, Edition
from intake.model.identifiers import OwnKind, own_number
from tests.counting import count_statements

IMPORT = ActionKind.IMPORT_EDITIONS


def test_what_refers_to_a_new_record_gets_its_real_key(library: Library) -> None:
    new = Provisional()
    edition = Edition(id=new.id(), title="Tidal Sketches")
    box = Box(number=new.number(OwnKind.BOX))
    copy = Copy(accession=new.number(OwnKind.COPY), edition_id=edition.id, box=box.number)
    applied = library.apply(Action(ActionKind.PACK_COPY, copy.accession), made(copy, box, edition))
    assert applied.key(copy.accession) == own_number(OwnKind.COPY, 1)
    assert applied.entry.action.subject == own_number(OwnKind.COPY, 1)
    with library.reading() as reader:
        stored = reader.get(Copy, own_number(OwnKind.COPY, 1))
    assert stored == replace(copy, accession="A1-59", edition_id=1, box="B1-56")


def test_a_plan_that_is_not_applied_uses_up_nothing(library: Library) -> None:
    for _ in range(3):
        Provisional().number(OwnKind.COPY)
    new = Provisional()
    edition = Edition(id=new.id(), title="Tidal Sketches")
    with pytest.raises(RefusedError):
        library.apply(Action(IMPORT, "a"), [*made(edition), *supposing(Edition(id=99, title="Not there"))])
    assert library.apply(Action(IMPORT, "a"), made(edition)).key(edition.id) == 1


def test_a_number_that_a_person_gave_is_passed_over(library: Library) -> None:
    library.apply(Action(ActionKind.OPEN_BOX, "B2-47"), made(Box(number=own_number(OwnKind.BOX, 2))))
    new = Provisional()
    boxes = [Box(number=new.number(OwnKind.BOX)) for _ in range(3)]
    applied = library.apply(Action(ActionKind.OPEN_BOX, boxes[0].number), made(*boxes))
    assert [applied.key(box.number) for box in boxes] == [own_number(OwnKind.BOX, serial) for serial in (1, 3, 4)]


def test_a_plan_is_refused_once_what_it_supposes_has_changed(library: Library) -> None:
    box = Box(number="B1-56")
    library.apply(Action(ActionKind.OPEN_BOX, box.number), made(box))
    library.apply(Action(ActionKind.OPEN_BOX, "B2-47"), [*made(Box(number="B2-47")), *supposing(box)])
    with pytest.raises(RefusedError):
        library.apply(
            Action(ActionKind.OPEN_BOX, "B3-38"), [*made(Box(number="B3-38")), *supposing(replace(box, room="Attic"))]
        )
    with library.reading() as reader:
        assert count_records(reader).entries == 2
        assert reader.get(Box, "B3-38") is None


def test_no_number_of_a_person_is_taken_for_a_provisional_one() -> None:
    new = Provisional()
    assert all(is_provisional(new.number(kind)) for kind in OwnKind)
    assert not any(is_provisional(own_number(kind, 1)) for kind in OwnKind)


def test_numbers_that_a_person_gave_in_a_row_are_passed_over_in_few_statements(library: Library) -> None:
    own = [own_number(OwnKind.BOX, serial) for serial in range(1, 302)]
    library.apply(Action(IMPORT, "boxes"), made(*(Box(number=number) for number in own)))
    new = Provisional()
    first, second = new.number(OwnKind.BOX), new.number(OwnKind.BOX)
    with count_statements(library) as count:
        applied = library.apply(Action(ActionKind.OPEN_BOX, "two"), made(Box(number=first), Box(number=second)))
    assert (applied.key(first), applied.key(second)) == tuple(own_number(OwnKind.BOX, n) for n in (302, 303))
    assert count.statements <= 20
    third = new.number(OwnKind.BOX)
    later = library.apply(Action(ActionKind.OPEN_BOX, "one"), made(Box(number=third)))
    assert later.key(third) == own_number(OwnKind.BOX, 304)
