"""What the text of a symbol stands for, against the GS1 General Specifications."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean as stdnum_ean

from intake.model.identifiers import NumberKind, OwnKind, own_number
from intake.reading.symbol_forms import ean_number, expand_upc_e, is_own, kind_of

# GS1 General Specifications, table 7-9 (GTIN-12, GTIN-8) and common examples of GTIN-13.
GOOD = {
    "061414112345": "0061414112345",
    "96385074": "0000096385074",
    "9521234500018": "9521234500018",
    "4006381333931": "4006381333931",
    "9780306406157": "9780306406157",
}


@pytest.mark.parametrize("text", GOOD)
def test_published_numbers_become_13_digits(text: str) -> None:
    assert ean_number(text) == GOOD[text]
    for wrong in set("0123456789") - {text[-1]}:
        assert ean_number(text[:-1] + wrong) is None


@given(st.text("0123456789", min_size=12, max_size=13))
def test_the_check_digit_is_python_stdnums(text: str) -> None:
    assert (ean_number(text) is not None) == stdnum_ean.is_valid(text.zfill(13))


# Zero suppression of UPC-E, GS1 General Specifications 5.2.2.4.2: the manufacturer digits that each last digit stands
# for (the rules by number; the numbers are built here and their check digits computed by python-stdnum).
@pytest.mark.parametrize(
    ("short", "body"),
    [
        ("123450", "12000" + "00345"),
        ("123451", "12100" + "00345"),
        ("123452", "12200" + "00345"),
        ("123453", "12300" + "00045"),
        ("123454", "12340" + "00005"),
        ("123455", "12345" + "00005"),
        ("123459", "12345" + "00009"),
    ],
)
def test_upc_e_is_written_out(short: str, body: str) -> None:
    check = stdnum_ean.calc_check_digit("00" + body)
    assert expand_upc_e(f"0{short}{check}") == f"00{body}{check}"


def test_what_is_no_upc_e_is_not_written_out() -> None:
    for text in ("", "0123456", "21234565", "0123456x", "012345650"):
        assert expand_upc_e(text) is None


@given(st.sampled_from(OwnKind), st.integers(1, 999_999))
def test_own_numbers_hold_only_as_printed(kind: OwnKind, serial: int) -> None:
    number = own_number(kind, serial)
    assert is_own(number)
    assert kind_of(number) is NumberKind.OWN
    assert not is_own(number.lower())
    assert not is_own(number + "0")
    assert not is_own(number.replace("-", ""))
    assert not is_own(number[:-1] + str((int(number[-1]) + 1) % 10))
