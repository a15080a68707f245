"""Typed text and scanner lines, as they come."""

import isbnlib
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from stdnum import ean, issn

from intake.identifiers.parse import parse
from intake.model.identifiers import Check, Identifier, NumberKind, Rejection

ISBN = "9780306406157"


def read(text: str) -> Identifier:
    result = parse(text)
    assert isinstance(result, Identifier), result
    return result


@pytest.mark.parametrize(
    "text",
    [
        "9780306406157",
        "978-0-306-40615-7",
        "978 0 306 40615 7",
        "978–0–306–40615–7",
        "978‑0‑306‑40615‑7",
        "978 - 0 - 306 - 40615 - 7",
        "9 780306 406157",
        "９７８０３０６４０６１５７",
        "ＩＳＢＮ９７８ー０ー３０６ー４０６１５ー７",
        "0306406152",
        "0-306-40615-2",
        "0 306 40615 2",
        "0.306.40615.2",
        "ISBN 0-306-40615-2",
        "ISBN-10: 0306406152",
        "ISBN-13: 978-0-306-40615-7",
        "ISBN0306406152",
        "isbn 10 0306406152",
        "0306406152 pbk",
        "0-306-40615-2 (hardback) : $29.95",
        "0306406152 12.95",
        "DM 48,00 ISBN 0306406152",
        "ISBN-10: 0306406152 ISBN-13: 9780306406157",
        "0306406152/9780306406157",
        "]E09780306406157",
        "]X09780306406157",
        "\x029780306406157\r\n",
        "9780306406157.",
        "SBN 306406152",
        "306-40615-2",
        "09780306406157",
        "EAN 9780306406157",
    ],
)
def test_ways_of_writing_one_isbn(text: str) -> None:
    result = read(text)
    assert (result.kind, result.number, result.written) == (NumberKind.ISBN, ISBN, "978-0-306-40615-7")


@pytest.mark.parametrize(
    "text",
    [
        "9780306406157 51299",
        "9780306406157+51299",
        "9780306406157 + 51299",
        "9780306406157-51299",
        "978-0-306-40615-7-51299",
        "978-0-306-40615-7 51299",
        "978 0 306 40615 7 51299",
        "978030640615751299",
        "]E3978030640615751299",
        "0-306-40615-2 51299",
    ],
)
def test_ways_of_writing_an_add_on(text: str) -> None:
    result = read(text)
    assert (result.number, result.add_on) == (ISBN, "51299")
    assert result.notes == ("add-on 51299: printed price US$12.99",)


@pytest.mark.parametrize(
    ("text", "add_on"),
    [
        ("0317-8471", None),
        ("ISSN 0317-8471", None),
        ("ISSN 03178471", None),
        ("9770317847001", None),
        ("9770317847001 05", "05"),
        ("977031784700105", "05"),
        ("977031784700100123", "00123"),
        ("0317-8471 05", "05"),
    ],
)
def test_serials(text: str, add_on: str | None) -> None:
    result = read(text)
    assert (result.kind, result.number, result.written) == (NumberKind.ISSN, "9770317847001", "0317-8471")
    assert result.add_on == add_on
    assert "ISSN 0317-8471" in result.notes


@pytest.mark.parametrize("text", ["9790230671187", "M-2306-7118-7", "m 2306 7118 7", "M230671187", "ISMN M-230671187"])
def test_printed_music(text: str) -> None:
    result = read(text)
    assert (result.kind, result.number) == (NumberKind.ISMN, "9790230671187")


def test_printed_music_labelled_as_a_book_is_told() -> None:
    # ISO 10957; python-stdnum's isbn.validate would let it pass as a book.
    result = read("ISBN 979-0-2600-0043-8")
    assert result.kind is NumberKind.ISMN
    assert "printed music" in result.notes[0]


@pytest.mark.parametrize(
    ("text", "number", "written", "add_on"),
    [
        ("071831007995", "0071831007995", "071831007995", None),
        ("0 71831 00799 5", "0071831007995", "071831007995", None),
        ("071831007995 19868", "0071831007995", "071831007995", "19868"),
        ("07183100799519868", "0071831007995", "071831007995", "19868"),
        ("]E3007183100799519868", "0071831007995", "071831007995", "19868"),
        ("4006381333931", "4006381333931", "4006381333931", None),
        ("09524141234564", "9524141234564", "9524141234564", None),
        ("96385074", "0000096385074", "96385074", None),
        ("]E496385074", "0000096385074", "96385074", None),
        ("01234565", "0012345000065", "01234565", None),
    ],
)
def test_barcodes_of_other_articles(text: str, number: str, written: str, add_on: str | None) -> None:
    result = read(text)
    assert (result.kind, result.number, result.written, result.add_on) == (NumberKind.GTIN, number, written, add_on)


def eight_digits(first: str, *, serial: bool) -> str:
    """Return eight digits, the seventh 9, that are valid as EAN-8, and as ISSN or not, by python-stdnum."""
    candidates = (f"{first}{rest:05d}9{check}" for rest in range(10**5) for check in range(10))
    return next(text for text in candidates if ean.is_valid(text) and issn.is_valid(text) == serial)


def test_eight_digits_are_upc_e_after_0_and_ean_8_after_1() -> None:
    # A UPC-E ending in 5 to 9 gives its digits the same weights as an EAN-8 does, so both are always valid together.
    for first, number in (("0", "0{0}0000{1}"), ("1", "00000{0}{1}")):
        text = eight_digits(first, serial=False)
        assert ean.is_valid(f"{text[:6]}0000{text[6:]}")
        assert read(text).number == number.format(text[:6], text[6:])
        assert read(f"]E4{text}").number == f"00000{text}"


def test_eight_digits_that_are_a_serial_too_are_asked_about() -> None:
    text = eight_digits("2", serial=True)
    question = parse(text)
    assert isinstance(question, Rejection)
    assert question.check is Check.AMBIGUOUS
    assert {repair.number for repair in question.repairs} == {issn.to_ean(text), "00000" + text}
    for number in (issn.to_ean(text), "00000" + text):
        settled = parse(text, is_known=number.__eq__)
        assert isinstance(settled, Identifier)
        assert settled.number == number
    assert read(f"{text[:4]}-{text[4:]}").kind is NumberKind.ISSN
    assert read(f"EAN {text}").kind is NumberKind.GTIN
    assert read(f"]E4{text}").kind is NumberKind.GTIN


def test_two_books_on_one_line_are_asked_about_unless_one_is_known() -> None:
    line = "ISBN 0-306-40615-2 (v. 1) ISBN 0-8044-2957-X (set)"
    question = parse(line)
    assert isinstance(question, Rejection)
    assert question.check is Check.AMBIGUOUS
    assert [repair.number for repair in question.repairs] == [ISBN, "9780804429573"]
    settled = parse(line, is_known="9780804429573".__eq__)
    assert isinstance(settled, Identifier)
    assert settled.number == "9780804429573"


def test_what_is_left_out_is_told() -> None:
    assert read("9780306406157 123").notes == ("left out: 123",)
    assert read("12 9780306406157").notes == ("left out: 12",)


def test_a_wrong_number_is_not_cut_down_to_a_right_one() -> None:
    # The last ten characters of these are a valid ISBN-10.
    for text in ("978-0-306-40615-2", "978 0306406152", "978 0-306-40615-2", "9 780306 406152"):
        result = parse(text)
        assert isinstance(result, Rejection)
        assert result.check is Check.CHECK_DIGIT
        assert result.repairs[0].number == ISBN


@pytest.mark.parametrize(
    ("slip", "truth"),
    [
        ("978316148412", "9783161484124"),  # the last digit lost: a valid UPC-A, as one in ten is
        ("97831614841205", "9783161484124"),  # … and with what may be an add-on
        ("9738161484100", "9783161484100"),  # 8 and 3 swapped, which the check digit cannot notice
    ],
)
def test_an_article_that_was_a_book_before_a_slip_is_asked_about(slip: str, truth: str) -> None:
    body = slip[:12] if len(slip) != 13 else slip
    assert ean.is_valid(body)
    result = parse(slip, is_known=truth.__eq__)
    assert isinstance(result, Rejection)
    assert result.check is Check.PREFIX
    assert result.repairs[0].number == truth
    assert result.repairs[-1].how == "read as it is"
    assert isinstance(parse(slip, is_known=body.zfill(13).__eq__), Identifier)


def test_nine_digits_may_be_an_isbn_that_lost_one() -> None:
    truth = str(isbnlib.to_isbn13("3161480007"))
    lost = "316140007"  # without the 8, and by chance a valid SBN, as one in eleven is
    assert isbnlib.is_isbn10("0" + lost)
    question = parse(lost, is_known=truth.__eq__)
    assert isinstance(question, Rejection)
    assert question.check is Check.AMBIGUOUS
    assert [repair.number for repair in question.repairs] == [truth, isbnlib.to_isbn13("0" + lost)]
    unknown = parse(lost)
    assert isinstance(unknown, Rejection)
    assert [repair.number for repair in unknown.repairs] == [isbnlib.to_isbn13("0" + lost)]
    known = isbnlib.to_isbn13("0" + lost)
    assert isinstance(parse(lost, is_known=known.__eq__), Identifier)
    assert isinstance(parse("SBN " + lost, is_known=truth.__eq__), Identifier)


@given(
    st.text("0123456789", min_size=8, max_size=8), st.sampled_from("012347"), st.booleans(), st.booleans(), st.data()
)
def test_no_single_slip_in_a_known_book_passes_for_another(
    body: str, group: str, ten: bool, hyphens: bool, data: st.DataObject
) -> None:
    truth = str(isbnlib.to_isbn13(group + body + isbnlib.check_digit10(group + body)))
    assume(truth)
    typed = str(isbnlib.to_isbn10(truth)) if ten else truth
    typed = (isbnlib.mask(typed) or typed) if hyphens else typed
    at = data.draw(st.sampled_from([place for place, character in enumerate(typed) if character.isdecimal()]))
    digit = data.draw(st.sampled_from("0123456789"))
    for slip in (typed[:at] + digit + typed[at + 1 :], typed[:at] + typed[at + 1 :], typed[:at] + digit + typed[at:]):
        result = parse(slip, is_known=truth.__eq__)
        if isinstance(result, Identifier):
            assert result.number == truth
        else:
            assert result.repairs[0].number == truth


def test_a_digit_lost_between_two_hyphens_is_not_another_number() -> None:
    """4-9556232-8-X without its 8 ends in two hyphens, as 4-9556232--X."""
    result = parse("4-9556232--X", is_known="9784955623286".__eq__)
    assert isinstance(result, Rejection)
    assert result.repairs[0].number == "9784955623286"


@pytest.mark.parametrize("text", ["978-3-16-148410-X", "978316148410X", "ISBN 978 3 16 148410 X", "978-3-16-148410-x"])
def test_978_before_an_isbn10_that_ends_in_x_is_understood(text: str) -> None:
    # 3-16-148410-X is 978-3-16-148410-0: a published pair; python-stdnum converts it too.
    result = read(text)
    assert (result.number, result.written) == ("9783161484100", "978-3-16-148410-0")
    assert "the ISBN-13 ends in 0" in result.notes[0]
    wrong = parse("978-3-16-148411-X")
    assert isinstance(wrong, Rejection)
    assert "9783161484117" in {repair.number for repair in wrong.repairs}


@pytest.mark.parametrize("text", ["9.78E+12", "9,78E+12", "9.78031E+12", "9.78e12", "9780306406157E0", "9E+12"])
def test_a_number_that_a_spreadsheet_rounded_is_called_so(text: str) -> None:
    result = parse(text)
    if text == "9780306406157E0":  # not rounded: all its digits are there, and a letter
        assert isinstance(result, Identifier)
        return
    assert isinstance(result, Rejection)
    assert "rounded" in result.reason
    assert "as text" in result.reason
    assert result.repairs == ()


def test_an_isbn_with_decimals_is_read() -> None:
    assert read("9780306406157.0").number == ISBN


def test_an_in_store_number_is_noted() -> None:
    assert "means nothing elsewhere" in read("2000000123455").notes[0]


def test_the_catalog_is_not_asked_about_a_good_number() -> None:
    def refuse(number: str) -> bool:
        raise AssertionError(number)

    assert isinstance(parse("978-0-306-40615-7 51299", is_known=refuse), Identifier)


@given(st.text("0123456789", min_size=9, max_size=9).filter(lambda body: body.strip("0")), st.sampled_from("-– .‐ "))
def test_any_isbn_in_any_dress_is_read(body: str, dash: str) -> None:
    ten = body + isbnlib.check_digit10(body)
    thirteen = str(isbnlib.to_isbn13(ten))
    masked = isbnlib.mask(thirteen) or f"978-{thirteen[3:]}"
    for text in (ten, ten.lower(), thirteen, masked.replace("-", dash), f"ISBN {masked[4:-1]}{ten[-1]}"):
        assert read(text).number == thirteen


@given(st.text())
def test_any_text_is_answered(text: str) -> None:
    assert isinstance(parse(text), Identifier | Rejection)


@given(st.text("0123456789０X xM-–.+]E/ABSIOlN\n\x1d", max_size=60))
def test_any_text_of_numbers_is_answered_and_kept(text: str) -> None:
    result = parse(text, is_known=lambda number: number.endswith("7"))
    if isinstance(result, Rejection):
        assert result.text == text
        assert result.reason
    else:
        assert result.kind is NumberKind.OWN or (len(result.number) == 13 and ean.is_valid(result.number))


@pytest.mark.parametrize(
    "piece", ["9", "1 ", "978-", "12345678 ", "ISBN ", "O", "A1", "X ", "+1", "1.", "９", "M 1", "0 " * 3]
)
def test_a_very_long_text_is_answered(piece: str) -> None:
    text = piece * (10_000 // len(piece))
    result = parse(text)
    assert isinstance(result, Rejection)
    assert len(result.reason) < 200


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        # 0378-5955 is the example of ISO 3297; its eight digits and an issue of two are an ISBN-10 as well.
        ("0378 5955 12", {"9780378595513", "9770378595002"}),
        ("03785955 12", {"9780378595513", "9770378595002"}),
        ("03064061 52", {"9780306406157", "0030640000061"}),
    ],
)
def test_a_space_does_not_settle_which_of_two_numbers_was_typed(text: str, numbers: set[str]) -> None:
    rejected = parse(text)
    assert isinstance(rejected, Rejection)
    assert rejected.check is Check.AMBIGUOUS
    assert {repair.number for repair in rejected.repairs} == numbers
    known = min(numbers)
    settled = parse(text, is_known=lambda number: number == known)
    assert isinstance(settled, Identifier)
    assert settled.number == known
