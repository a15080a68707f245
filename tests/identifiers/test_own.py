"""The tool's own numbers: round trips, what is accepted, and a full count of the slips that pass unseen."""

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from intake.identifiers import own
from intake.identifiers.parse import parse
from intake.model.identifiers import Check, Identifier, OwnKind, Rejection

kinds = st.sampled_from(OwnKind)
serials = st.integers(1, 10**9)


def read(text: str, expect: OwnKind | None = None) -> Identifier:
    result = own.read(text, expect)
    assert isinstance(result, Identifier), result
    return result


def refused(text: str, expect: OwnKind | None = None) -> Rejection:
    result = own.read(text, expect)
    assert isinstance(result, Rejection), result
    return result


def test_the_check_of_iso_7064() -> None:
    # ISO/IEC 7064, MOD 97-10: the worked example of the standard, 794 with check digits 44.
    assert mod_97_10.calc_check_digits("794") == "44"
    # The rule of the standard by hand: 127, A as 10, two check digits: the whole leaves 1 when divided by 97.
    assert own.make(OwnKind.COPY, 127) == "A127-89"
    assert 1271089 % 97 == 1


@given(kinds, serials)
def test_every_number_is_read_back(kind: OwnKind, serial: int) -> None:
    number = own.make(kind, serial)
    for result in (own.read(number), parse(number), own.read(number, kind)):
        assert isinstance(result, Identifier)
        assert (result.number, result.own_kind, result.notes) == (number, kind, ())
    assert own.serial_of(number) == serial
    assert mod_97_10.is_valid(f"{serial}{kind.value}{number[-2:]}")


def slips(digits: str) -> Iterator[tuple[str, set[str]]]:
    every = range(len(digits))
    yield "wrong", {digits[:i] + new + digits[i + 1 :] for i in every for new in "0123456789"}
    yield "swapped", {digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in every[:-1]}
    yield "inserted", {digits[:i] + new + digits[i:] for i in range(len(digits) + 1) for new in "0123456789"}
    yield "lost", {digits[:i] + digits[i + 1 :] for i in every}


def test_the_count_of_slips_that_pass_is_the_one_stated() -> None:
    # Every slip in A1-xx to A9999-xx, its result judged by the rule of ISO/IEC 7064 in plain arithmetic.
    made: dict[str, int] = {}
    passed: dict[str, int] = {}
    for serial in range(1, 10_000):
        digits = own.make(OwnKind.COPY, serial)[1:].replace("-", "")
        for slip, results in slips(digits):
            for changed in results:
                other, check = int(changed[:-2] or "0"), changed[-2:]
                if other == serial and check == digits[-2:]:
                    continue  # a leading zero: the same number
                made[slip] = made.get(slip, 0) + 1
                right = 2 <= int(check) <= 98 and (other * 10_000 + 1_000 + int(check)) % 97 == 1 and other > 0
                passed[slip] = passed.get(slip, 0) + right
    assert made == {"wrong": 529_983, "swapped": 44_175, "inserted": 619_974, "lost": 54_174}
    assert passed == {"wrong": 0, "swapped": 0, "inserted": 3_674, "lost": 276}
    for figure in ("529,983", "44,175", "619,974", "3,674", "276"):
        assert figure in str(own.__doc__)


@given(serials, kinds, st.data())
def test_no_wrong_digit_and_no_swap_is_accepted(serial: int, kind: OwnKind, data: st.DataObject) -> None:
    number = own.make(kind, serial)
    digits = number[1:].replace("-", "")
    changed = data.draw(st.sampled_from([text for text, _ in own.mutations(digits)]))
    result = own.read(kind.value + changed)
    assert isinstance(result, Rejection)
    # A swap or a wrong digit can be undone by the same slip, so the true number is among the repairs.
    assert number in [repair.number for repair in result.repairs]


@given(serials, kinds, kinds)
def test_another_letter_is_caught(serial: int, kind: OwnKind, other: OwnKind) -> None:
    changed = other.value + own.make(kind, serial)[1:]
    assert isinstance(own.read(changed), Identifier if kind is other else Rejection)


@pytest.mark.parametrize(
    "typed", ["a127-89", "A12789", "A 127 89", "A0127-89", "Al27-89", "aI27 89", " A-127–89 ", "Ａ１２７－８９"]
)
def test_ways_of_typing_one_number(typed: str) -> None:
    assert read(typed).number == "A127-89"


def test_o_is_zero() -> None:
    number = own.make(OwnKind.BOX, 100)
    assert read(number.replace("0", "O")).number == number


@pytest.mark.parametrize("typed", ["7", "007", "box 7", "Box-7", "B7", "b 7", "#7", "no. 7"])
def test_a_bare_serial_is_taken_where_its_kind_is_expected(typed: str) -> None:
    result = read(typed, OwnKind.BOX)
    assert result.number == own.make(OwnKind.BOX, 7)
    assert "without check digits" in result.notes[0]
    assert isinstance(own.read(typed), Rejection)


@given(kinds, st.integers(1, 99_999), st.sampled_from(["{}", "0{}", "#{}", "no. {}", "number {}"]))
def test_digits_alone_are_always_the_serial(kind: OwnKind, serial: int, written: str) -> None:
    assert read(written.format(serial), kind).number == own.make(kind, serial)


def test_every_box_to_a_thousand_can_be_named_by_its_digits() -> None:
    """Also the ten of them, 156, 247, 338 …, whose last two digits are the check digits of those before."""
    named = {serial: read(f"{serial}", OwnKind.BOX).number for serial in range(1, 1001)}
    assert named == {serial: own.make(OwnKind.BOX, serial) for serial in named}
    both = [serial for serial in range(100, 1001) if own.verified_number(OwnKind.BOX, str(serial))]
    # By the rule of ISO/IEC 7064 in plain arithmetic: the serial, B as 11, two check digits leave 1 modulo 97.
    ruled = [n for n in range(100, 1001) if (n // 100 * 10_000 + 1_100 + n % 100) % 97 == 1 and 2 <= n % 100 <= 98]
    assert both == ruled
    assert both[:3] == [156, 247, 338]


@pytest.mark.parametrize("typed", ["127-89", "#127-89", "copy 127-89", "127-88"])
def test_check_digits_are_read_only_behind_their_letter(typed: str) -> None:
    result = refused(typed, OwnKind.COPY)
    assert result.check is Check.CHARACTERS
    assert [repair.number for repair in result.repairs] == ([] if typed.endswith("88") else ["A127-89"])
    assert refused("1-56", OwnKind.BOX).repairs[0].number == "B1-56"


@pytest.mark.parametrize(
    ("typed", "expect", "check"),
    [
        ("", None, Check.EMPTY),
        ("A" + "1" * 60, None, Check.LENGTH),
        ("A127-88", None, Check.CHECK_DIGIT),
        ("A0-98", None, Check.CHECK_DIGIT),  # serials count from 1
        ("A127-89", OwnKind.BOX, Check.PREFIX),
        ("copy 7", OwnKind.BOX, Check.PREFIX),
        ("0", OwnKind.BOX, Check.LENGTH),
        ("bill", None, Check.CHARACTERS),
        ("C127-89", None, Check.CHARACTERS),
        ("7", None, Check.CHARACTERS),
    ],
)
def test_each_reason_to_refuse(typed: str, expect: OwnKind | None, check: Check) -> None:
    assert refused(typed, expect).check is check


def test_only_the_check_digits_that_the_standard_computes_are_right() -> None:
    # Modulo 97, 01 and 98 leave the same rest; ISO/IEC 7064 computes 98 only.
    serial = next(n for n in range(1, 200) if own.make(OwnKind.COPY, n).endswith("-98"))
    assert mod_97_10.is_valid(f"{serial}A01")
    assert refused(f"A{serial}-01").check is Check.CHECK_DIGIT


def test_known_repairs_come_first() -> None:
    alone = refused("A127-79").repairs
    last = alone[-1].number
    result = own.read("A127-79", is_known=last.__eq__)
    assert isinstance(result, Rejection)
    assert (result.repairs[0].number, result.repairs[0].in_catalog) == (last, True)


def test_serials_begin_at_one() -> None:
    with pytest.raises(ValueError, match="count from 1"):
        own.make(OwnKind.COPY, 0)


@given(st.text(), st.none() | kinds)
def test_any_text_is_answered(text: str, expect: OwnKind | None) -> None:
    assert isinstance(own.read(text, expect), Identifier | Rejection)
