"""Values, rates, sets and reviews, on the small invented library."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from intake.edges.ecb_rates import RateFile
from intake.edges.store.library import Library
from intake.edges.store.queries.values import valuations_of
from intake.errors import RefusedError, UsageError
from intake.flow.lists.import_list import ListKind
from intake.flow.undo import undo
from intake.flow.values import exchange_rates, value_copies, value_sets
from intake.flow.values.figures import Figure, check_amount
from intake.flow.values.value_words import total_lines
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, CopyState
from intake.model.valuations import Basis, Rate, Valuation, rate_key
from intake.valuing.rates import MissingRate
from tests.flow.conftest import import_text
from tests.made_library import new_library

TODAY = date(2026, 3, 31)
GOOD = Figure(amount=Decimal("80.00"), currency="eur", on=date(2026, 3, 1), basis=Basis.MARKET, source="a letter")


def with_rate(library: Library, per_base: str = "1.25", on: date = TODAY) -> None:
    exchange_rates.enter_rate(library, "EUR", "USD", Decimal(per_base), on=on, station="test", today=TODAY)


def test_a_value_stands_beside_the_earlier_one_and_is_undone(library: Library) -> None:
    made, unlike = value_copies.value_copy(library, "1", GOOD, station="test", today=TODAY)
    assert (made.currency, unlike) == ("EUR", None)
    with library.reading() as records:
        assert [one.amount for one in valuations_of(records, made.copy)] == [Decimal("120.00"), Decimal("80.00")]
    undo(library, station="test")
    with library.reading() as records:
        assert len(valuations_of(records, made.copy)) == 1


@pytest.mark.parametrize(
    ("change", "about"),
    [
        ({"currency": "QQQ"}, "ISO 4217"),
        ({"amount": Decimal(-1)}, "amount"),
        ({"amount": Decimal("NaN")}, "amount"),
        ({"amount": Decimal("1.005")}, "decimals"),
        ({"amount": Decimal("1.5"), "currency": "JPY"}, "decimals"),
        ({"amount": Decimal("1.0005"), "currency": "BHD"}, "decimals"),
        ({"amount": Decimal(10) ** 12}, "or more"),
        ({"on": date(2026, 4, 1)}, "in the future"),
        ({"amount": Decimal("1.200")}, "may be 1200.00 or 1.20"),
    ],
)
def test_bad_input_changes_nothing(library: Library, change: dict[str, object], about: str) -> None:
    figure = replace(GOOD, **change)  # type: ignore[arg-type] # fields by name
    with pytest.raises(UsageError) as caught:
        value_copies.value_copy(library, "1", figure, station="test", today=TODAY)
    assert about in str(caught.value)
    with library.reading() as records:
        assert len(records.all(Valuation)) == 4


def test_totals_by_hand(library: Library) -> None:
    # 120.00 + 4.50 + 130.00 and USD 900 / 1.25 = 720: 974.50.
    with_rate(library)
    with library.reading() as records:
        added = value_copies.worth(records, "EUR", on=TODAY)
        in_dollars = value_copies.worth(records, "usd", on=TODAY)
    assert (added.at_risk.amount, len(added.unvalued)) == (Decimal("974.50"), 1)
    assert [(one.basis, one.amount) for one in added.at_risk.subtotals] == [
        (Basis.AGREED, Decimal("720.00")), (Basis.MARKET, Decimal("250.00")), (Basis.REPLACEMENT, Decimal("4.50")),
    ]  # fmt: skip
    assert in_dollars.at_risk.amount == Decimal("1218.13")  # 150.00 + 5.625 (to 5.63) + 162.50 + 900


def test_without_a_rate_a_value_is_named_and_never_zero(library: Library) -> None:
    with library.reading() as records:
        added = value_copies.worth(records, "EUR", on=TODAY)
    assert (added.at_risk.amount, len(added.unconverted)) == (Decimal("254.50"), 1)
    assert [(one.currency, one.amount) for one in added.at_risk.unconverted] == [("USD", Decimal(900))]
    assert added.missing == (MissingRate(base="EUR", currency="USD", on=TODAY),)


def test_a_corrected_rate_replaces_the_earlier_one(library: Library) -> None:
    key = rate_key(TODAY, "EUR", "USD")
    rate = Rate(key=key, on=TODAY, base="EUR", currency="USD", per_base=Decimal("1.1"), source="a bank")
    mended = replace(rate, per_base=Decimal("1.2"))
    for file, expected in ((rate, (1, 0, 0)), (rate, (0, 0, 1)), (mended, (0, 1, 0))):
        taken = exchange_rates.import_rates(library, RateFile((file,), ()), name="r.csv", station="test", today=TODAY)
        assert (taken.made, taken.altered, taken.unchanged) == expected
    with library.reading() as records:
        assert records.get(Rate, key) == mended


def test_rates_that_make_no_sense(library: Library) -> None:
    for base, currency, rate, on in (("EUR", "EUR", "1", TODAY), ("EUR", "USD", "0", TODAY), ("EUR", "XQX", "1", TODAY),
                                     ("EUR", "USD", "1", date(2026, 4, 1))):  # fmt: skip
        with pytest.raises(UsageError):
            exchange_rates.enter_rate(library, base, currency, Decimal(rate), on=on, station="test", today=TODAY)
    late = Rate(key="x", on=date(2027, 1, 1), base="EUR", currency="USD", per_base=Decimal(1))
    for file in (RateFile((late,), ()), RateFile((), ())):
        with pytest.raises(RefusedError):
            exchange_rates.import_rates(library, file, name="r.csv", station="test", today=TODAY)


def test_review(library: Library) -> None:
    with_rate(library)
    with library.reading() as records:
        found = value_copies.review(records, "EUR", on=date(2026, 3, 31), years=0)
        fresh = value_copies.review(records, "EUR", on=TODAY, years=1)
    assert len(found.old) == 4
    assert fresh.old == ()
    assert len(found.estimates) + len(found.alone) == 1


def test_sets_and_the_loss_of_one(library: Library) -> None:
    with library.reading() as records:
        (held,) = value_sets.set_states(records)
        assert value_sets.losses_of_one(records, held, on=TODAY) is None
    assert held.boxed == {"1": "B1-56", "2": "B2-47"}
    whole = replace(GOOD, amount=Decimal(400))
    recorded = value_sets.value_set(library, held.set.id, whole, station="test", today=TODAY)
    assert (recorded.set_id, recorded.amount, recorded.currency, recorded.lacking) == (
        held.set.id,
        Decimal(400),
        "EUR",
        "",
    )
    value_sets.value_set(
        library, held.set.id, replace(GOOD, amount=Decimal(210)), lacking="2", station="test", today=TODAY
    )
    with library.reading() as records:
        reckoned = value_sets.losses_of_one(records, held, on=TODAY)
    assert reckoned is not None
    assert {one.volume: one.difference for one in reckoned.losses} == {"1": Decimal("270.00"), "2": Decimal(190)}
    with pytest.raises(RefusedError):
        value_sets.value_set(library, 99, whole, station="test", today=TODAY)


@pytest.mark.parametrize(("valued", "known"), [("12", ()), ("124", ("5",)), ("1245", ("1", "2", "4", "5"))])
def test_the_loss_of_one_is_known_only_where_every_other_volume_has_a_value(
    tmp_path: Path, valued: str, known: tuple[str, ...]
) -> None:
    # Volume 3 never was there: of 500 for the other four, the loss of one leaves the sum of three at 100 each.
    with new_library(tmp_path / "library") as library:
        rows = "".join(f"V{n},Bogs {n},Bogs,{n}\n" for n in "1245")
        import_text(library, tmp_path, ListKind.EDITIONS, f"key,title,set,volume\n{rows}")
        worth = "".join(f"1,V{n},{'100,EUR,market' if n in valued else ',,'}\n" for n in "1245")
        import_text(library, tmp_path, ListKind.COPIES, f"box,key,value,currency,basis\n{worth}")
        value_set(library, "500", lacking="3")
        with library.reading() as records:
            (held,) = value_sets.set_states(records)
            found = value_sets.losses_of_one(records, held, on=TODAY)
    assert found is not None
    assert {one.volume: one.difference for one in found.losses} == dict.fromkeys(known, Decimal(200))
    assert set(found.unknown) == set("1245") - set(known)


@pytest.mark.parametrize(
    "cells",
    [
        "5.00,QQQ,market,2026-01-15",
        "5.005,EUR,market,2026-01-15",
        "5.5,JPY,market,",
        "5.00,EUR,market,2026-04-01",
        "-5,EUR,market,",
    ],
)
def test_a_list_with_an_impossible_value_is_refused(library: Library, tmp_path: Path, cells: str) -> None:
    text = f"box,key,value,currency,basis,valued_on\n1,G2,{cells}\n"
    found = import_text(library, tmp_path, ListKind.COPIES, text)
    assert (len(found.bad_rows), found.entries) == (1, ())


def value_set(library: Library, amount: str, lacking: str = "", currency: str = "EUR") -> None:
    figure = replace(GOOD, amount=Decimal(amount), currency=currency)
    value_sets.value_set(library, 1, figure, lacking=lacking, station="test", today=TODAY)


def lose(library: Library, accession: str) -> None:
    with library.reading() as records:
        copy = records.get(Copy, accession)
    assert copy is not None
    lost = replace(copy, state=CopyState.MISSING)
    library.apply(Action(ActionKind.FINISH_BOX, "2", "test"), (Change(copy, lost),))


def test_a_sum_that_lacks_copies_says_so_before_anything_else(library: Library) -> None:
    with library.reading() as records:
        added = value_copies.worth(records, "EUR", on=TODAY)
    assert added.unconverted, "some are in dollars, and there is no rate"
    first, second, *_ = total_lines(added, limit=10)
    count = len(added.unconverted)
    are = "valued copy is" if count == 1 else "valued copies are"
    assert first == f"Incomplete: {count} {are} in no sum below, as a rate into EUR is missing"
    assert second.startswith("At risk")


def test_a_set_counts_once_then_what_is_left_of_it(library: Library) -> None:
    # The two volumes at 120 and 130 count 400 together; with the second lost, 210 are left and 190 lost.
    with_rate(library)
    value_set(library, "400")
    with library.reading() as records:
        whole = value_copies.worth(records, "EUR", on=TODAY)
    assert whole.at_risk.amount == Decimal("4.50") + 720 + 400
    lose(library, "A5-23")
    with library.reading() as records:
        singly = value_copies.worth(records, "EUR", on=TODAY)
    assert (singly.at_risk.amount, singly.lost.amount) == (Decimal("4.50") + 720 + 120, Decimal("130.00"))
    assert [one.gaps for one in singly.singly] == [("2",)]
    value_set(library, "210", lacking="2")
    with library.reading() as records:
        rest = value_copies.worth(records, "EUR", on=TODAY)
        again = value_copies.review(records, "EUR", on=TODAY, years=3).added
    assert (rest.at_risk.amount, rest.lost.amount) == (Decimal("4.50") + 720 + 210, Decimal("190.00"))
    assert (rest.at_risk.amount, rest.lost) == (again.at_risk.amount, again.lost)


def test_lost_copies_and_sets_in_the_lines_of_a_total(library: Library) -> None:
    with_rate(library)
    value_set(library, "400")
    value_set(library, "210", lacking="2")
    lose(library, "A5-23")
    with library.reading() as records:
        said = "\n".join(total_lines(value_copies.worth(records, "EUR", on=TODAY), limit=9))
        agreed = "\n".join(total_lines(value_copies.worth(records, "EUR", on=TODAY, basis=Basis.AGREED), limit=9))
    assert "market: EUR 190.00, 1 copy, with what 1 set lost" in said
    assert "1 set of 1 volume counted once" in said
    assert "Lost since the move, and not at risk: 1 copy, none of known value" in agreed
    assert "1 of them lost, in no total" in agreed
    assert "its volumes count one by one where they have a value on the basis asked for" in agreed


@pytest.mark.parametrize(
    ("currency", "example"), [("JPY", "120, without"), ("EUR", "120.00, with"), ("KWD", "120.000")]
)
def test_the_amount_given_as_an_example_is_one_in_that_currency(currency: str, example: str) -> None:
    """ISO 4217 gives the yen no decimals, the euro two, the Kuwaiti dinar three."""
    with pytest.raises(UsageError) as caught:
        check_amount("Loss", Decimal("4448.2999"), currency)
    assert f"such as {example}" in caught.value.remedy


@pytest.mark.parametrize(
    ("lacking", "error"), [("3", RefusedError), ("1, 2", RefusedError), ("2, vol. 2", UsageError), ("1,1", UsageError)]
)
def test_a_set_cannot_lack_what_it_has_not_nor_all_nor_one_volume_twice(
    library: Library, lacking: str, error: type[Exception]
) -> None:
    with pytest.raises(error):
        value_set(library, "5", lacking=lacking)


def test_missing_volumes_are_recorded_as_the_set_names_them(library: Library) -> None:
    made = value_sets.value_set(library, 1, GOOD, lacking="Vol. 2", station="test", today=TODAY)
    assert made.lacking == "2"


def test_a_set_with_books_of_several_volumes_lacks_what_its_list_says_and_no_half_of_a_book(tmp_path: Path) -> None:
    """Worked by hand: books 1-2, 3 and 5-6; volume 4 is between them, and 2 is half of a book that has both."""
    with new_library(tmp_path / "library") as library:
        rows = "".join(f"V{name},Kelp {name},Kelp,{name}\n" for name in ("1-2", "3", "5-6"))
        import_text(library, tmp_path, ListKind.EDITIONS, f"key,title,set,volume\n{rows}")
        import_text(library, tmp_path, ListKind.COPIES, "box,key\n1,V1-2\n1,V3\n1,V5-6\n")
        with library.reading() as records:
            (held,) = value_sets.set_states(records)
        assert held.gaps == ("4",)
        made = [
            value_sets.value_set(library, held.set.id, GOOD, lacking=text, station="test", today=TODAY).lacking
            for text in ("4", "5-6, 3")
        ]
        assert made == ["4", "3, 5-6"]
        for half in ("2", "5"):
            with pytest.raises(RefusedError):
                value_set(library, "5", lacking=half)
