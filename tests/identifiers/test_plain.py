"""Characters, labels and runs. The Unicode facts are checked against Python's own copy of the standard's tables."""

import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.identifiers.plain import NumberLabel, plain, runs, split_symbology


def test_every_dash_and_every_decimal_digit_of_unicode_becomes_plain() -> None:
    for code in range(sys.maxunicode + 1):
        character = chr(code)
        category = unicodedata.category(character)
        if category == "Pd":
            assert plain(f"1{character}2") == "1-2", hex(code)
        elif category == "Nd":
            assert plain(character) == str(unicodedata.digit(character)), hex(code)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("９７８−０", "978-0"),  # full-width digits, minus sign
        ("978\u200b-0\ufeff", "978-0"),  # zero-width space and byte order mark
        ("978\u00a00", "978 0"),  # no-break space
        ("\x1d978\r\n", "978"),  # what scanners put around a number
        ("08044295７Х", "080442957X"),  # a Cyrillic letter for X
        ("9²", "9²"),  # a footnote mark is no digit
        ("ＩＳＢＮ：", "ISBN:"),
    ],
)
def test_characters(typed: str, expected: str) -> None:
    assert plain(typed) == expected


@given(st.text())
def test_plain_text_stays_as_it_is(text: str) -> None:
    assert plain(plain(text)) == plain(text)


def test_a_symbology_identifier_is_split_off() -> None:
    # ISO/IEC 15424: "]", a letter for the symbology, a modifier. "]E0" EAN-13, "]E4" EAN-8 (from memory).
    assert split_symbology("]E496385074") == ("E4", "96385074")
    assert split_symbology("9780306406157") == ("", "9780306406157")
    assert split_symbology("]") == ("", "]")


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("ISBN 0-306-40615-2", NumberLabel.ISBN),
        ("ISBN-13: 9780306406157", NumberLabel.ISBN),
        ("ISBN 13 9780306406157", NumberLabel.ISBN),
        ("eISBN10:0306406152", NumberLabel.ISBN),
        ("I.S.B.N. 0 306 40615 2", NumberLabel.ISBN),
        ("SBN 306 40615 2", NumberLabel.SBN),
        ("ISSN-L 0317-8471", NumberLabel.ISSN),
        ("ISMN M-2306-7118-7", NumberLabel.ISMN),
        ("EAN-13 4006381333931", NumberLabel.GTIN),
        ("UPC-A 071831007995", NumberLabel.GTIN),
        ("OCLC 0306406152", NumberLabel.FOREIGN),
        ("0306406152", None),
    ],
)
def test_labels(text: str, label: NumberLabel | None) -> None:
    (run,) = runs(text)
    assert run.label is label


def test_a_label_reaches_its_own_number_and_not_a_sentence_away() -> None:
    far = "ISBN of this and the other volumes are given at the end: 0306406152"
    assert [run.label for run in runs(far)] == [None]
    assert [run.label for run in runs("ISBN (v. one) 0306406152 / 0804429577")] == [NumberLabel.ISBN, None]


def test_each_of_several_labels_reaches_its_own_number() -> None:
    text = "ISBN 0-306-40615-2, ISSN 0317-8471, ISMN M-2306-7118-7 and UPC 071831007995"
    assert [run.label for run in runs(text)] == [
        NumberLabel.ISBN, NumberLabel.ISSN, NumberLabel.ISMN, NumberLabel.GTIN,
    ]  # fmt: skip
    assert [run.label for run in runs("ISBN and ISSN 0317-8471")] == [NumberLabel.ISSN]


def test_a_price_is_no_part_of_a_run() -> None:
    assert [run.words for run in runs("0306406152 12.95")] == [("0306406152",)]
    assert [run.words for run in runs("$29.95 9780306406157 51299")] == [("9780306406157", "51299")]
    # But points may stand for hyphens.
    assert [run.words for run in runs("0.306.40615.2")] == [("0.306.40615.2",)]


def test_a_plus_sign_marks_the_add_on() -> None:
    (run,) = runs("9780306406157+51299")
    assert (run.words, run.plus) == (("9780306406157", "51299"), 1)
