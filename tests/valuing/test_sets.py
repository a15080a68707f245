"""Sets: gaps, doubles, boxes; pair-and-set with a published pattern: value before less value after the loss."""

from decimal import Decimal

import pytest

from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.volumes import volume_number
from intake.valuing.sets import loss_of_volume, set_state

SET = BookSet(id=1, title="Invented flora", volumes=4)
EDITIONS = [Edition(id=n, title=f"Part {n}", set_id=1, volume=str(n)) for n in range(1, 5)]


def copy(accession: str, edition: int, **more: object) -> Copy:
    held, box = more.get("state", CopyState.SHELVED), more.get("box")
    assert isinstance(held, CopyState)
    assert box is None or isinstance(box, str)
    return Copy(accession=accession, edition_id=edition, state=held, box=box)


def test_gaps_doubles_and_boxes() -> None:
    copies = [copy("A1", 1), copy("A2", 2), copy("A3", 2), copy("A4", 3, state=CopyState.MISSING),
              copy("A5", 4, state=CopyState.PACKED, box="B2")]  # fmt: skip
    found = set_state(SET, EDITIONS, copies)
    assert (found.gaps, found.doubles, found.boxed, found.complete) == (("3",), ("2",), {"4": "B2"}, False)


def test_nobody_said_how_many_volumes() -> None:
    found = set_state(BookSet(id=1, title="x"), EDITIONS[:2], [copy("A1", 1), copy("A2", 2)])
    assert (found.gaps, found.complete) == ((), None)
    whole = set_state(SET, EDITIONS, [copy(f"A{n}", n) for n in range(1, 5)])
    assert whole.complete is True


def test_volumes_beyond_those_known_are_gaps_and_a_named_one_is_a_gap_of_its_own() -> None:
    editions = [Edition(id=1, title="a", set_id=1, volume="2"), Edition(id=2, title="b", set_id=1, volume="Atlas"),
                Edition(id=3, title="c", set_id=1, volume="10")]  # fmt: skip
    found = set_state(SET, editions, [copy("A1", 1)])
    assert [one.name for one in found.volumes] == ["2", "10", "Atlas"]
    assert (found.of, found.gaps, found.complete) == (4, ("1", "3", "4", "10", "Atlas"), False)
    untold = set_state(BookSet(id=1, title="x"), editions, [copy("A1", 1), copy("A2", 2), copy("A3", 3)])
    assert untold.gaps == ("1", "3", "4", "5", "6", "7", "8", "9")
    assert set_state(BookSet(id=1, title="x"), [], []).gaps == ()


def test_a_missing_copy_counts_neither_as_there_nor_as_double() -> None:
    found = set_state(SET, EDITIONS, [copy("A1", 1), copy("A2", 1, state=CopyState.MISSING), copy("A3", 2, box="B9")])
    assert (found.gaps, found.doubles, found.boxed) == (("3", "4"), (), {})
    assert [len(one.copies) for one in found.volumes] == [2, 1, 0, 0]


@pytest.mark.parametrize(
    ("roman", "number"),
    [("I", 1), ("III", 3), ("VI", 6), ("IX", 9), ("XIX", 19), ("XL", 40), ("LX", 60), ("XC", 90), ("CX", 110)],
)
def test_roman_numbers(roman: str, number: int) -> None:
    assert volume_number(f"vol. {roman}") == number


@pytest.mark.parametrize(("volume", "number"), [("12", 12), ("Band 3", 3), ("IV", 4), ("XIV", 14), ("Atlas", None)])
def test_volumes_by_their_numbers(volume: str, number: int | None) -> None:
    assert volume_number(volume) == number


def test_the_loss_of_one_by_hand() -> None:
    # A set worth 400 whole and 210 with one volume gone: 400 - 210 = 190; a quarter of the whole is 100.
    found = loss_of_volume("2", complete=Decimal(400), without=Decimal(210), singly={}, volumes=4, currency="EUR")
    assert found is not None
    assert (found.difference, found.proportion) == (Decimal(190), Decimal("100.00"))
    assert (found.volume, found.before, found.after) == ("2", Decimal(400), Decimal(210))
    thirds = loss_of_volume("2", complete=Decimal(100), without=Decimal(0), singly={}, volumes=3, currency="EUR")
    assert thirds is not None
    assert (thirds.difference, thirds.proportion) == (Decimal(100), Decimal("33.33"))


def test_others_singly_stand_in_and_cannot_exceed_the_whole() -> None:
    singly = {"1": Decimal(50), "3": Decimal(60), "4": Decimal(70)}
    found = loss_of_volume("2", complete=Decimal(400), without=None, singly=singly, volumes=4, currency="EUR")
    assert found is not None
    assert (found.after, found.difference) == (Decimal(180), Decimal(220))
    assert "individual values" in found.method
    rich = loss_of_volume("2", complete=Decimal(100), without=None, singly=singly, volumes=4, currency="EUR")
    assert rich is not None
    assert rich.difference == 0
    for some in ({}, {"1": Decimal(50), "3": Decimal(60)}, {"1": Decimal(1), "2": Decimal(2), "3": Decimal(3)}):
        assert loss_of_volume("2", complete=Decimal(400), without=None, singly=some, volumes=4, currency="EUR") is None
    # What the lost volume itself is worth singly is no part of what is left.
    own = loss_of_volume(
        "2", complete=Decimal(400), without=None, singly={**singly, "2": Decimal(99)}, volumes=4, currency="EUR"
    )
    assert own is not None
    assert own.after == Decimal(180)
