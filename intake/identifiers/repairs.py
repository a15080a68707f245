"""What a wrong number may have been: one wrong digit, two neighbours swapped, one digit lost or one too many.

Repairs that the catalog knows come first, and a lost or surplus digit is proposed only when the catalog knows the
result, because there are over a hundred ways to insert one. They are proposals for a person; none is booked.

How far a check digit can be trusted: the EAN-13 check digit catches every single wrong digit and 80 of the 90 swaps of
unequal neighbours; the ten it misses are the pairs that differ by 5, so that 9783161484100 and 9783611484100 are both
valid. It misses every swap of digits two places apart. The ISBN-10 check digit catches every single wrong digit and
every swap of any two. (GS1 General Specifications 7.9.1; ISO 2108; counted by the tests.)
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain, pairwise

from stdnum import isbn

from intake.identifiers.forms import EAN13, FORMS, UNKNOWN_RANGE, WrittenForm, possible_forms
from intake.model.identifiers import Identifier, NumberKind, Repair

MOST = 10
"""Most repairs returned; those that the catalog knows are all returned."""


def never(_number: str) -> bool:
    """Return False: the `is_known` to use where there is no catalog."""
    return False


def repairs(
    digits: str, forms: tuple[WrittenForm, ...], is_known: Callable[[str], bool] = never, add_on: str | None = None
) -> tuple[Repair, ...]:
    """Return what a wrong number may have been, likeliest first.

    Args:
        digits: the characters of the number, without dashes.
        forms: the forms of this length that it could be; empty if the length fits none.
        is_known: whether the catalog has a number of 13 digits.
        add_on: attached to each repair.

    >>> repairs("9783161484110", (EAN13,), lambda number: number == "9783161484100")[0].how
    '0 instead of 1 at digit 12'
    """
    by_written: dict[str, Repair] = {}
    ranks: dict[str, tuple[bool, ...]] = {}
    same_length = ((form, changed, how, False) for form, changed, how in changes(digits, forms))
    other_length = ((form, changed, how, True) for form, changed, how in other_lengths(digits) if is_known is not never)
    for form, changed, how, must_be_known in chain(same_length, other_length):
        identifier = form.read(changed) if form in possible_forms(changed) else None
        if identifier is None:
            continue
        repair = replace(option(identifier, how, is_known), add_on=add_on)
        # An ISSN may have come up already, with another variant behind it.
        earlier = by_written.get(repair.written)
        is_better = earlier is None or (repair.in_catalog and not earlier.in_catalog)
        if is_better and (repair.in_catalog or not must_be_known):
            by_written[repair.written] = repair
            ranks[repair.written] = rank(digits, identifier, in_catalog=repair.in_catalog)
    ranked = sorted(by_written.values(), key=lambda repair: ranks[repair.written])
    return tuple(repair for index, repair in enumerate(ranked) if repair.in_catalog or index < MOST)


def rank(digits: str, identifier: Identifier, *, in_catalog: bool) -> tuple[bool, ...]:
    """Return the sort key of a repair: known number, publication, prefix as written, known registrant range."""
    other_prefix = (
        len(digits) == 13 and digits.startswith(("977", "978", "979")) and identifier.number[:3] != digits[:3]
    )
    # The other twelve digits, if they are right, are in whatever range they are.
    is_unlikely = UNKNOWN_RANGE in identifier.notes and identifier.number[:-1] != digits[:-1]
    return not in_catalog, identifier.kind is NumberKind.GTIN, other_prefix, is_unlikely


def option(identifier: Identifier, how: str, is_known: Callable[[str], bool]) -> Repair:
    """Return an identifier as something that may have been meant."""
    number = identifier.number
    return Repair(number, identifier.written, how, is_known(number), identifier.add_on)


def changes(digits: str, forms: tuple[WrittenForm, ...]) -> Iterator[tuple[WrittenForm, str, str]]:
    """Yield the changes that keep the length, likeliest first: (form, characters, change in words)."""
    if EAN13 in forms and digits.startswith("978") and isbn.is_valid(digits[3:]):
        right = str(isbn.to_isbn13(digits[3:]))
        yield EAN13, right, f"{digits[-1]} ends the ISBN-10; the ISBN-13 ends in {right[-1]}"
    for form in forms:
        for changed, how in neighbours_swapped(digits):
            yield form, changed, how
        # From the end: prefix and group are the same on most books of a collection, and are seldom misread.
        for index, old in reversed(list(enumerate(digits))):
            if old == "M":
                continue
            for new in form.alphabet if index == len(digits) - 1 else "0123456789":
                if new != old:
                    yield (
                        form,
                        digits[:index] + new + digits[index + 1 :],
                        f"{new} instead of {old} at digit {index + 1}",
                    )


def neighbours_swapped(digits: str) -> Iterator[tuple[str, str]]:
    """Yield (digits, change in words) for every swap of two unequal neighbouring digits."""
    for index, (left, right) in enumerate(pairwise(digits)):
        if left != right and left.isdecimal() and right.isdecimal():
            changed = digits[:index] + right + left + digits[index + 2 :]
            yield changed, f"{right}{left} instead of {left}{right} at digits {index + 1} and {index + 2}"


def twins(number: str) -> tuple[Identifier, ...]:
    """Return the numbers that two swapped neighbours make of 13 digits without the check digit noticing.

    >>> [twin.number for twin in twins("9783161484100")]
    ['9738161484100', '9783611484100', '9783116484100']
    """
    swapped = (EAN13.read(changed) for changed, _how in neighbours_swapped(number) if len(number) == EAN13.length)
    return tuple(identifier for identifier in swapped if identifier is not None)


def other_lengths(digits: str) -> Iterator[tuple[WrittenForm, str, str]]:
    """Yield (form, characters, change in words) with one character inserted or removed, for every form it fits."""
    for form in FORMS:
        if form.length == len(digits) + 1:
            for index in range(form.length):
                for new in form.alphabet if index == len(digits) else "0123456789":
                    yield form, digits[:index] + new + digits[index:], f"{new} missing at digit {index + 1}"
        elif form.length == len(digits) - 1:
            for index, old in enumerate(digits):
                yield form, digits[:index] + digits[index + 1 :], f"surplus {old} at digit {index + 1}"
