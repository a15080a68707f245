"""The valued inventory: no currency or basis is mixed, and nothing without a value passes for nothing."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from intake.documents import inventories
from intake.edges import fonts
from intake.model.currencies import amount_text
from intake.model.pages import Page
from intake.model.papers import Inventory, InventoryLine
from intake.model.valuations import Basis

ReadText = Callable[[Sequence[Page]], list[str]]


def line(number: str, amount: str | None, currency: str = "EUR", basis: Basis = Basis.REPLACEMENT) -> InventoryLine:
    return InventoryLine(
        number=number, title="鳥の島", contributors="Irma Tessendorf", condition="Very Good", where="Study 2.4",
        amount=None if amount is None else Decimal(amount), currency=currency, basis=basis, source="dealer's letter",
        valued_on=date(2026, 2, 1),
    )  # fmt: skip


LINES = (
    line("A1-71", "100.10"),
    line("A2-68", "0.20"),
    line("A3-65", "5", basis=Basis.PURCHASE),
    line("A4-62", "800", "JPY"),
    line("A5-59", None),
    line("A6-56", "0"),
)
HEAD = "0123456789abcdef" * 4
INVENTORY = Inventory(
    purpose="insurance schedule", on=date(2026, 3, 4), lines=LINES, owner="Ada Lindqvist-Moreau", ledger_seq=9120,
    ledger_head=HEAD,
)  # fmt: skip


def test_totals_worked_by_hand() -> None:
    assert inventories.totals(LINES) == [
        "EUR 5.00, purchase value, 1 copy",
        "EUR 100.30, replacement value, 3 copies",
        "JPY 800, replacement value, 1 copy",
        "1 copy without a value: in no total",
    ]


def test_what_is_lost_and_sets_that_count_once_by_hand() -> None:
    lost = replace(line("A7-53", "9.00"), lost=True)
    in_set = replace(line("A8-50", None), in_set="set 2")
    whole = replace(line("set 2", "400.00"), is_set=True, copies=2)
    assert inventories.totals((*LINES[:1], lost, replace(LINES[4], lost=True), in_set, in_set, whole)) == [
        "EUR 500.10, replacement value, 3 copies, 1 set of 2 volumes counted once",
        "Lost, and in no total above: EUR 9.00, replacement value, 1 copy",
        "1 lost copy without a value: in no total",
    ]


def test_the_head_counts_what_is_lost_and_no_group_says_so_twice(read_text: ReadText) -> None:
    group = "Lost: not found since the move, and not at risk"
    lines = (
        replace(LINES[0], room="Study"),
        replace(line("A7-53", "9.00"), room=group, lost=True),
        replace(line("set 2", "400.00"), is_set=True, copies=2),
        replace(line("set 2", "100.00"), is_set=True, copies=1, lost=True),
    )
    pages = inventories.lay_out(replace(INVENTORY, lines=lines), measure=fonts.measure)
    said = " ".join(" ".join(read_text(pages)).split())
    assert "Count 2 copies, 1 of them lost" in said
    for row in (f"{group} replacement 1 EUR 9.00", "Lost of sets counted once replacement 1 EUR 100.00"):
        assert row in said, row


def test_decimals_after_iso_4217() -> None:
    # ISO 4217 minor units: yen none, Kuwaiti dinar three.
    assert amount_text(Decimal("1234"), "JPY") == "JPY 1,234"
    assert amount_text(Decimal("1.5"), "KWD") == "KWD 1.500"
    assert amount_text(Decimal("1E+3"), "EUR") == "EUR 1,000.00"


def test_the_page_says_everything(read_text: ReadText) -> None:
    (text,) = read_text(inventories.lay_out(INVENTORY, measure=fonts.measure))
    said = " ".join(text.split())
    for wanted in ("Insurance schedule", "2026-03-04", "6 copies", "Ada Lindqvist-Moreau", "EUR 100.30", "no value",
                   "replacement", "dealer's letter", "2026-02-01", "鳥の島", "not an appraisal",
                   "not legal or insurance advice", "Ledger entry 9120", HEAD, "page 1 of 1", "JPY 800",
                   "EUR 0.00"):  # fmt: skip
        assert wanted in said


@given(st.lists(st.tuples(st.sampled_from(["EUR", "USD"]), st.none() | st.decimals(0, 10**6, places=2)), max_size=30))
def test_sums_are_exact_and_every_copy_is_counted(values: list[tuple[str, Decimal | None]]) -> None:
    lines = tuple(
        InventoryLine(number="A1-71", title="Ur", currency=c, amount=a, basis=Basis.MARKET) for c, a in values
    )
    said = inventories.totals(lines)
    for currency in ("EUR", "USD"):
        known = [a for c, a in values if c == currency and a is not None]
        if known:
            assert any(one.startswith(amount_text(sum(known, Decimal()), currency) + ",") for one in said)
    without = sum(a is None for _, a in values)
    assert any("without a value" in one and one.startswith(f"{without} cop") for one in said) == bool(without)
