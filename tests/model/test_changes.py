"""Changes of records and their reverse."""

from intake.model.changes import Change, made
from intake.model.places import Place, PlaceKind

ROOM = Place(number="S1-00", kind=PlaceKind.ROOM, name="Study")
HALL = Place(number="S1-00", kind=PlaceKind.ROOM, name="Hall")


def test_a_change_turned_round_changes_back() -> None:
    change = Change(ROOM, HALL)
    assert change.reversed() == Change(HALL, ROOM)
    assert change.reversed().reversed() == change


def test_new_records_come_from_nothing() -> None:
    assert made(ROOM, HALL) == (Change(None, ROOM), Change(None, HALL))
    assert made() == ()
