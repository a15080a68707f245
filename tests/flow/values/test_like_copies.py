"""Whether a value is unlike those of like copies: with which it is compared. Copies, sets and values are invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.values import latest_valuations_of
from intake.errors import UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.resolve import find_copy
from intake.flow.values.average import pays_under_average
from intake.flow.values.exchange_rates import enter_rate
from intake.flow.values.like_copies import outlier_words, question_about
from intake.model.valuations import Basis, Valuation
from intake.valuing.likeness import Outlier, Trait
from tests.flow.conftest import import_text

TODAY = date(2026, 3, 31)
HEAD = "box,key,printing,value,currency,basis,valued_on\n"


def asked(library: Library, copy: str) -> Outlier | None:
    with library.reading() as records:
        found = find_copy(records, copy)
        own = latest_valuations_of(records, [found.accession])[found.accession]
        return question_about(records, found, own, on=TODAY)


def bring_in(library: Library, folder: Path, *rows: str) -> None:
    import_text(library, folder, ListKind.COPIES, HEAD + "".join(f"3,{row},market,2026-01-15\n" for row in rows))


def test_with_five_of_its_edition_it_is_compared(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "G2,,1000,EUR", *(f"G2,,{10 + n},EUR" for n in range(5)))
    found = asked(library, "6")
    assert found is not None
    assert (found.copy, found.amount, found.middle, found.alike, found.count) == (
        "A6-14", Decimal(1000), Decimal(12), Trait.EDITION, 5,
    )  # fmt: skip
    assert found.times == pytest.approx(1000 / 12)
    assert asked(library, "7") is None, "one of the usual ones"


def test_with_fewer_of_its_edition_it_is_compared_with_its_subject_or_the_collection(
    library: Library, tmp_path: Path
) -> None:
    bring_in(library, tmp_path, "G2,,1000,EUR", *(f"G2,,{10 + n},EUR" for n in range(4)))
    # The collection's others: 10 to 13, and 120, 4.50 and 130; the dollars have no rate.
    found = asked(library, "6")
    assert found is not None
    assert (found.alike, found.count, found.middle) == (Trait.COLLECTION, 7, Decimal(12))
    bring_in(library, tmp_path, "G1,,14,EUR")
    found = asked(library, "6")
    assert found is not None
    assert (found.alike, found.count) == (Trait.SUBJECT, 5), "G1 is of birds, too"


def test_its_printing_comes_first_and_another_printing_is_another_likeness(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.PRINTINGS, "key,printing\nG2,1\nG2,2\n")
    first = (f"G2,1,{1000 + n},EUR" for n in range(6))
    second = (f"G2,2,{10 + n},EUR" for n in range(6))
    bring_in(library, tmp_path, *first, *second, "G2,2,1000,EUR", "G2,,1000,EUR")
    assert asked(library, "6") is None, "all of the first printing are worth a thousand"
    found = asked(library, "18")
    assert found is not None
    assert (found.alike, found.count) == (Trait.PRINTING, 6)


def test_the_volumes_of_its_set_are_like_it(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, *(f"F2,,{100 + n},EUR" for n in range(3)), "F1,,104,EUR", "F1,,9000,EUR")
    found = asked(library, "10")
    assert found is not None
    # F1: 120 and 104; F2: 130 and 100 to 102.
    assert (found.alike, found.count, found.middle) == (Trait.SET, 6, Decimal("103.00"))


def test_values_in_another_currency_are_converted_and_those_without_a_rate_do_not_count(
    library: Library, tmp_path: Path
) -> None:
    bring_in(library, tmp_path, "G2,,1000,EUR", *(f"G2,,{20 + n},USD" for n in range(5)))
    assert asked(library, "6") is None, "of the collection three have a value in euros"
    enter_rate(library, "EUR", "USD", Decimal(2), on=TODAY, station="test", today=TODAY)
    found = asked(library, "6")
    assert found is not None
    assert (found.middle, found.alike) == (Decimal("11.00"), Trait.EDITION)


def test_nothing_is_asked_about_a_value_that_does_not_count(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "G2,,10,EUR", *(f"G2,,{10 + n},EUR" for n in range(5)))
    with library.reading() as records:
        copy = find_copy(records, "6")
        unlike = Valuation(
            id=0, copy=copy.accession, amount=Decimal(1000), currency="EUR", on=TODAY, basis=Basis.MARKET
        )
        assert question_about(records, copy, unlike, on=TODAY) is not None
        paid = replace(unlike, basis=Basis.PURCHASE)
        assert question_about(records, copy, paid, on=TODAY) is None, "a valuation counts before what was paid"
        earlier = replace(unlike, on=date(2020, 1, 1))
        assert question_about(records, copy, earlier, on=TODAY) is None, "a later one counts"


def test_a_value_of_nothing_is_compared_with_nothing(library: Library, tmp_path: Path) -> None:
    bring_in(library, tmp_path, "G2,,0,EUR", *(f"G2,,{10 + n},EUR" for n in range(5)), "G2,,0,EUR", "G2,,1000,EUR")
    assert asked(library, "6") is None
    found = asked(library, "13")
    assert found is not None
    assert found.count == 5, "those worth nothing are not among them"


def test_the_question_names_both_amounts() -> None:
    unlike = Outlier(
        copy="A1-59", amount=Decimal(1000), middle=Decimal("12.005"), times=83.3, alike=Trait.EDITION, count=5
    )
    words = outlier_words(unlike, "EUR")
    assert all(part in words for part in ("EUR 1,000.00", "EUR 12.01", "83 times", "5 of the same edition"))


def test_average_in_the_currency_of_the_policy() -> None:
    result = pays_under_average(Decimal(100), Decimal(500), Decimal(1000), "eur")
    assert result.underinsured
    with pytest.raises(UsageError):
        pays_under_average(Decimal(100), Decimal(500), Decimal(1000), "QQQ")
