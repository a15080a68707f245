"""The words of a proof come back as what they were, also from a page where lines were broken in them."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.model.schedules import Proof, ProofTotal
from intake.valuing.proof import parse, to_text

PROOF = Proof(
    purpose="insurance schedule", on=date(2026, 5, 1), scope="consignment C/1; ö", copies=71, unvalued=12,
    totals=(ProofTotal(currency="EUR", basis="market", amount=Decimal("1234.50"), count=40),), seq=9120, head="0f" * 32,
)  # fmt: skip

totals = st.lists(
    st.builds(
        ProofTotal, currency=st.sampled_from(["EUR", "JPY", "KWD"]), basis=st.sampled_from(["market", "agreed"]),
        amount=st.decimals(0, 10**9, places=3), count=st.integers(1, 9999),
    ),
    max_size=4, unique_by=lambda total: (total.currency, total.basis),
)  # fmt: skip


@given(
    st.text(st.characters(codec="utf-8"), max_size=20).map(lambda text: " ".join(text.split())),
    totals, st.integers(0, 10**6), st.binary(min_size=32, max_size=32),
)  # fmt: skip
def test_written_and_read(name: str, drawn: list[ProofTotal], seq: int, digest: bytes) -> None:
    ordered = tuple(sorted(drawn, key=lambda total: (total.currency, total.basis)))
    proof = Proof(
        purpose="customs list", on=date(2026, 5, 1), scope=f"consignment {name}".strip(), copies=3, unvalued=1,
        totals=ordered, seq=seq, head=digest.hex(), basis="agreed",
    )  # fmt: skip
    assert parse(f"before {to_text(proof)}\nafter") == proof


def test_it_is_plain_ascii_on_one_line() -> None:
    assert to_text(PROOF).isascii()
    assert "\n" not in to_text(PROOF)


def test_lines_broken_by_a_page_are_mended() -> None:
    words = to_text(PROOF)
    broken = words.replace("; ", ";\n").replace(PROOF.head, f"{PROOF.head[:30]}\n{PROOF.head[30:]}")
    assert parse(broken) == PROOF


@pytest.mark.parametrize("text", ["", "intake-proof 1", "intake-proof 1; list=x; date=yesterday; of=all", "x" * 500])
def test_what_is_no_proof(text: str) -> None:
    assert parse(text) is None


def test_a_lost_head_is_no_head() -> None:
    found = parse(to_text(PROOF).replace(PROOF.head, "zz"))
    assert found is not None
    assert (found.head, found.seq) == ("", PROOF.seq)


def test_each_word_of_a_proof_by_hand() -> None:
    assert to_text(PROOF) == (
        "intake-proof 1; list=insurance schedule; date=2026-05-01; of=consignment C/1%3B %C3%B6; values=counted; "
        "copies=71; unvalued=12; total=EUR 1234.50 market 40; entry=9120; head=" + "0f" * 32
    )


def test_a_list_of_an_earlier_version_counted_the_latest_value_on_any_basis() -> None:
    found = parse(to_text(PROOF).replace("values=counted", "values=latest"))
    assert found is not None
    assert found.basis == "latest"
    assert to_text(found) == to_text(PROOF).replace("values=counted", "values=latest")


@pytest.mark.parametrize("name", ["list", "date", "of", "values", "copies", "unvalued", "entry"])
def test_a_proof_without_one_of_its_words_is_none(name: str) -> None:
    pieces = to_text(PROOF).split("; ")
    assert parse("; ".join(piece for piece in pieces if not piece.startswith(f"{name}="))) is None


@pytest.mark.parametrize(
    ("good", "bad"), [("copies=71", "copies=many"), ("EUR 1234.50 market 40", "EUR 1234.50 market"),
                      ("1234.50", "much"), ("date=2026-05-01", "date=2026-13-01")],
)  # fmt: skip
def test_a_proof_with_a_word_that_cannot_be_is_none(good: str, bad: str) -> None:
    assert parse(to_text(PROOF).replace(good, bad)) is None
