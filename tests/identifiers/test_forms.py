"""Check digits and conversions, against the standards' worked examples, isbnlib and zxing-cpp."""

import isbnlib
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean, isbn

from intake.identifiers import forms
from intake.identifiers.forms import WrittenForm
from intake.model.identifiers import NumberKind

digits = st.text("0123456789", min_size=9, max_size=9).filter(lambda text: text.strip("0"))


@pytest.mark.parametrize(
    ("form", "body", "check", "source"),
    [
        (forms.EAN13, "952123450001", "8", "GS1 General Specifications, section 7.9"),
        (forms.GTIN14, "0952414123456", "4", "GS1 General Specifications, section 7.9"),
        (forms.UPC_A, "06141411234", "5", "GS1 General Specifications, section 7.9"),
        (forms.EAN8, "9638507", "4", "GS1 General Specifications, section 7.9"),
        (forms.EAN13, "978011000222", "4", "ISBN Users' Manual, 7th edition"),
        (forms.EAN13, "978929505512", "4", "ISBN Users' Manual"),
        (forms.ISBN10, "084361072", "7", "ISBN Users' Manual, edition for 10 digits"),
        (forms.ISSN, "0317847", "1", "ISSN Manual"),
        (forms.ISSN, "0378595", "5", "ISSN Manual"),
        (forms.EAN13, "979026000043", "8", "ISO 10957"),
        (forms.ISMN10, "M23067118", "7", "ISO 10957"),
    ],
)
def test_one_check_digit_alone_agrees_with_the_standard(form: WrittenForm, body: str, check: str, source: str) -> None:
    assert [last for last in form.alphabet if form.read(body + last)] == [check], source


@pytest.mark.parametrize(
    ("form", "written", "number"),
    [
        (forms.ISBN10, "0306406152", "9780306406157"),
        (forms.ISBN10, "316148410X", "9783161484100"),
        (forms.ISBN10, "1857982185", "9781857982183"),
        (forms.ISSN, "03178471", "9770317847001"),  # ISSN Manual: 977, seven digits, variant 00
        (forms.ISSN, "02643596", "9770264359008"),
        (forms.ISMN10, "M230671187", "9790230671187"),  # ISO 10957: M becomes 979-0, same check digit
    ],
)
def test_the_thirteen_digits_of_each_form(form: WrittenForm, written: str, number: str) -> None:
    identifier = form.read(written)
    assert identifier is not None
    assert identifier.number == number


@given(digits)
def test_isbn_10_and_13_convert_both_ways_and_isbnlib_agrees(body: str) -> None:
    ten = body + isbnlib.check_digit10(body)
    identifier = forms.read_isbn10(ten)
    assert identifier is not None
    assert identifier.number == isbnlib.to_isbn13(ten)
    assert isbn.to_isbn10(identifier.number) == isbnlib.to_isbn10(identifier.number) == ten


@given(st.text("0123456789", min_size=10, max_size=10).filter(lambda text: text.strip("0")))
def test_python_stdnum_and_isbnlib_agree_which_isbn_are_valid(text: str) -> None:
    assert (forms.read_isbn10(text) is not None) == bool(isbnlib.is_isbn10(text))
    thirteen = "978" + text
    assert (forms.read_ean13(thirteen) is not None) == bool(isbnlib.is_isbn13(thirteen))


@given(st.text("0123456789", min_size=6, max_size=6))
def test_a_upc_e_is_the_upc_a_that_zxing_expands_it_to(body: str) -> None:
    check = next(last for last in "0123456789" if ean.is_valid(forms.expand_upc_e(f"0{body}{last}")))
    try:
        symbol = zxingcpp.create_barcode(f"0{body}{check}", zxingcpp.BarcodeFormat.UPCE)
    except ValueError:  # a form that the standard writes with other zeros left out
        return
    (read,) = zxingcpp.read_barcodes(symbol.to_image(scale=3, add_quiet_zones=True))
    identifier = forms.read_upc_e(f"0{body}{check}")
    assert identifier is not None
    assert identifier.number == read.text


def test_printed_music_is_never_an_isbn() -> None:
    # python-stdnum's isbn.validate takes it; ISO 10957 gives 979-0 to printed music.
    assert isbn.is_valid("9790260000438")
    identifier = forms.read_ean13("9790260000438")
    assert identifier is not None
    assert (identifier.kind, identifier.written) == (NumberKind.ISMN, "979-0-2600-0043-8")


def test_nine_digits_are_an_sbn_only_with_a_right_check_digit() -> None:
    identifier = forms.read_sbn("306406152")
    assert identifier is not None
    assert identifier.number == "9780306406157"
    assert identifier.notes == ("9-digit SBN, read as ISBN-10 0-306-40615-2",)
    assert forms.read_sbn("306406153") is None


def test_hyphens_stand_where_the_users_manual_puts_them() -> None:
    for written in ("978-0-11-000222-4", "978-92-95055-12-4", "978-3-16-148410-0"):
        identifier = forms.read_ean13(written.replace("-", ""))
        assert identifier is not None
        assert identifier.written == written


def test_a_number_outside_all_known_ranges_is_noted() -> None:
    identifier = forms.read_ean13("9786999999990")
    assert identifier is not None
    assert identifier.notes == (forms.UNKNOWN_RANGE,)


@pytest.mark.parametrize("number", ["2000000123455", "0200000000004", "0400000000008"])
def test_numbers_of_a_shop_are_noted(number: str) -> None:
    # GS1 General Specifications: 020-029, 040-049 and 200-299 are for restricted circulation.
    identifier = forms.read_ean13(number)
    assert identifier is not None
    assert "means nothing elsewhere" in identifier.notes[0]


def test_a_variant_of_a_serial_keeps_its_number_and_tells_its_issn() -> None:
    number = "977031784703" + ean.calc_check_digit("977031784703")
    identifier = forms.read_ean13(number)
    assert identifier is not None
    assert (identifier.number, identifier.written) == (number, "0317-8471")
    assert identifier.notes == ("ISSN 0317-8471, variant 03",)
