"""How a set that has a value of its own is counted, worked by hand.

Under a pair-and-set clause the insurer restores the set or pays the value of the set before the loss less its value
after it, not the whole set (adjusters' explanation of the clause, seen in a copy): a set of four worth 400, of which
three volumes are worth 210, has lost 190.
"""

from datetime import date
from decimal import Decimal

from intake.model.editions import BookSet, Copy, CopyState, Edition
from intake.model.valuations import Basis, SetValue
from intake.model.volumes import split_volumes
from intake.valuing.set_values import CountedSet, SetCounting, count_set, set_parts, value_before_loss, volume_keys
from intake.valuing.sets import set_state

SET = BookSet(id=1, title="Invented flora", volumes=4)
EDITIONS = [Edition(id=n, title=f"Part {n}", set_id=1, volume=str(n)) for n in range(1, 5)]
DAY = date(2026, 1, 15)


def value(id: int, amount: int, lacking: str = "", currency: str = "EUR", basis: Basis = Basis.MARKET) -> SetValue:  # noqa: A002 - the field
    return SetValue(
        id=id, set_id=1, amount=Decimal(amount), currency=currency, on=DAY, basis=basis, lacking=lacking
    )  # fmt: skip


def copies(*lost: int, without: tuple[int, ...] = ()) -> list[Copy]:
    return [
        Copy(accession=f"A{n}", edition_id=n, state=CopyState.MISSING if n in lost else CopyState.SHELVED)
        for n in range(1, 5)
        if n not in without
    ]


def counted(held: list[Copy], values: list[SetValue], basis: Basis | None = None) -> CountedSet:
    found = count_set(set_state(SET, EDITIONS, held), values, basis)
    assert found is not None
    return found


def parts(one: CountedSet) -> list[tuple[bool, Decimal, tuple[str, ...]]]:
    return [(part.lost, part.own, part.copies) for part in set_parts(one)]


def test_a_complete_set_counts_once() -> None:
    found = counted(copies(), [value(1, 380), value(2, 400), value(3, 210, "3")])
    assert found.how is SetCounting.WHOLE
    assert parts(found) == [(False, Decimal(400), ("A1", "A2", "A3", "A4"))]


def test_a_lost_volume_takes_the_value_before_less_the_value_after() -> None:
    found = counted(copies(3), [value(1, 400), value(2, 210, "3")])
    assert found.how is SetCounting.REST
    assert parts(found) == [(False, Decimal(210), ("A1", "A2", "A4")), (True, Decimal(190), ("A3",))]


def test_two_lost_volumes_and_one_that_was_never_there() -> None:
    # Before the loss the set lacked volume 1 already: 300; now it lacks 1, 2 and 4: 60. The loss is 240.
    held = copies(2, 4, without=(1,))
    found = counted(held, [value(1, 400), value(2, 300, "1"), value(3, 60, "1, 2, 4")])
    assert parts(found) == [(False, Decimal(60), ("A3",)), (True, Decimal(240), ("A2", "A4"))]
    assert counted(held, [value(1, 400), value(3, 60, "4, 2, 1")]).loss is None


def test_the_value_before_a_loss_is_that_of_what_was_there_then() -> None:
    # Volume 1 never was there: the set was worth 300 before volumes 2 and 4 were lost, and never 400.
    state = set_state(SET, EDITIONS, copies(2, 4, without=(1,)))
    values = [value(1, 400), value(2, 300, "1"), value(3, 60, "1, 2, 4"), value(4, 290, "1")]
    before = value_before_loss(state, values, ["A2", "A4"])
    assert before is not None
    assert (before.amount, before.lacking) == (Decimal(290), "1"), "the one recorded last"
    assert value_before_loss(state, values[:1], ["A2", "A4"]) is None
    complete = value_before_loss(set_state(SET, EDITIONS, copies(3)), values, ["A3"])
    assert complete is not None
    assert complete.amount == Decimal(400)


def test_a_set_worth_more_without_a_volume_has_lost_nothing() -> None:
    assert counted(copies(3), [value(1, 200), value(2, 210, "3")]).loss == 0


def test_without_a_value_for_what_is_left_the_volumes_count_singly() -> None:
    for values in ([value(1, 400)], [value(1, 400), value(2, 210, "2")], [value(2, 210, "2")]):
        found = counted(copies(3), values)
        assert (found.how, found.value, parts(found)) == (SetCounting.SINGLY, None, [])
        assert found.gaps == ("3",)
        assert found.unused is values[0]


def test_the_value_without_a_volume_does_not_count_while_that_is_there() -> None:
    found = counted(copies(), [value(2, 210, "3")])
    assert (found.how, found.unused) == (SetCounting.SINGLY, value(2, 210, "3"))


def test_values_in_two_currencies_or_on_two_bases_are_not_subtracted() -> None:
    for other in (value(1, 400, currency="USD"), value(1, 400, basis=Basis.AGREED)):
        found = counted(copies(3), [other, value(2, 210, "3")])
        assert parts(found) == [(False, Decimal(210), ("A1", "A2", "A4"))]


def test_only_values_on_the_basis_asked_for() -> None:
    values = [value(1, 400), value(2, 500, basis=Basis.AGREED)]
    assert parts(counted(copies(), values, Basis.MARKET))[0][1] == 400
    assert parts(counted(copies(), values))[0][1] == 500
    found = counted(copies(), values, Basis.PURCHASE)
    assert (found.how, found.unused, found.other_basis) == (SetCounting.SINGLY, values[1], True)


def test_a_second_copy_of_a_volume_counts_by_itself_and_stands_in_for_a_lost_one() -> None:
    twice = [*copies(), Copy(accession="A9", edition_id=3)]
    assert parts(counted(twice, [value(1, 400)])) == [(False, Decimal(400), ("A1", "A2", "A3", "A4"))]
    spare = [*copies(3), Copy(accession="A9", edition_id=3)]
    assert parts(counted(spare, [value(1, 400)])) == [(False, Decimal(400), ("A1", "A2", "A9", "A4"))]


def test_a_set_without_a_value_or_without_copies() -> None:
    assert count_set(set_state(SET, EDITIONS, copies()), []) is None
    assert counted(copies(1, 2, 3, 4), [value(1, 400)]).how is SetCounting.SINGLY


def test_volumes_are_the_same_however_they_are_written() -> None:
    assert split_volumes(" 2,4 , Atlas,") == ("2", "4", "Atlas")
    assert volume_keys(["Vol. 2", "IV", "Atlas"]) == volume_keys(["2", "4", "atlas"])
