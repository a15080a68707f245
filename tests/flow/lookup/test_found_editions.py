"""What a search finds: other scripts, slips in typing, keys, volumes, swapped digits; and what it says it took."""

from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.find_lines import find_anything
from intake.flow.lookup.found_editions import look_up
from intake.flow.lookup.identify import identify
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.resolve import find_edition
from intake.flow.lookup.search import search
from intake.flow.lookup.typing_help import typed_help
from intake.model.matches import MatchVerdict
from intake.model.reasons import ReasonKind
from tests.counting import count_statements
from tests.flow.conftest import import_text

MORE = """key,number,title,contributors,set,volume
L1,,Łódź and Its Invented Parks,Ima Ginary,,
S1,,Die Straße der Gräser,Ima Ginary,,
R1,,Война и мох,Ёж Мохов,,
N1,,Νησιά του Πουθενά,Ima Ginary,,
H1,,दिन की किताब,Ima Ginary,,
H2,,दीन की किताब,Ima Ginary,,
J1,,架空の植物図鑑,Ima Ginary,,
E1,,The Ægean of Nowhere,Ima Ginary,,
W1,,Whole Mosses,Ima Ginary,Invented Cyclopaedia,1-6
W7,,Seventh Part,Ima Ginary,Invented Cyclopaedia,7
Q1,,Invented Quarterly Papers,Ima Ginary,Papers,2019/1
Q2,,Invented Quarterly Papers,Ima Ginary,Papers,2019/2
"""


@pytest.fixture
def wide(library: Library, tmp_path: Path) -> Library:
    import_text(library, tmp_path, ListKind.EDITIONS, MORE)
    return library


@pytest.mark.parametrize(
    ("typed", "keys"),
    [
        ("Lodz", ["L1"]),
        ("ŁÓDŹ", ["L1"]),
        ("strasse", ["S1"]),
        ("graeser strasse", ["S1"]),
        ("voyna", ["R1"]),
        ("ВОЙНА", ["R1"]),
        ("mokhov", ["R1"]),
        ("νησια", ["N1"]),
        ("nisia", ["N1"]),
        ("aegean", ["E1"]),
        ("दिन", ["H1"]),
        ("दीन", ["H2"]),
        ("植物", ["J1"]),
        ("図鑑", ["J1"]),
        ("F1", ["F1"]),
        ("o1", ["O1"]),
        ("ferns 2", ["F2"]),
        ("Ferns vol. II", ["F2"]),
        ("ferns 3", []),
        ("cyclopaedia 4", ["W1"]),
        ("cyclopaedia 7", ["W7"]),
        ("papers 2019/2", ["Q2"]),
        ("gulls", ["G1", "G2"]),
    ],
)
def test_what_is_typed_finds_what_it_says(wide: Library, typed: str, keys: list[str]) -> None:
    with wide.reading() as records:
        found = look_up(records, typed, 20)
    assert sorted(edition.key for edition in found.editions) == keys
    assert found.why == ()


@pytest.mark.parametrize(
    ("typed", "keys", "taken"),
    [
        ("gardn gulls", [], None),
        ("gulsl", ["G1", "G2"], "gulls"),
        ("frens inner", ["F2"], "ferns"),
        ("voina", ["R1"], None),
        ("стрнаница", [], None),
        ("guids to gulls", ["G1", "G2"], "guide"),
    ],
)
def test_a_slip_in_typing_is_forgiven_and_told(wide: Library, typed: str, keys: list[str], taken: str | None) -> None:
    with wide.reading() as records:
        found = look_up(records, typed, 20)
    assert sorted(edition.key for edition in found.editions) == keys
    assert [reason.texts[1] for reason in found.why] == ([taken] if taken else [])


def test_a_swap_that_stays_valid_is_asked_about(library: Library) -> None:
    """9783161484100 and 9783611484100 are both valid (digits 5 and 6 differ by 5: GS1 General Specifications 7.9.1)."""
    with library.reading() as records:
        found = look_up(records, "978-3-611-48410-0", 20)
        assert [edition.key for edition in found.editions] == ["F2"]
        assert [reason.kind for reason in found.why] == [ReasonKind.NOT_IN_CATALOG, ReasonKind.NEIGHBOURS_SWAPPED]
        thing = identify(records, "9783611484100", None)
        assert not thing.certain
        assert [candidate.edition.key for candidate in thing.candidates] == ["F2"]
        assert "swapped" in typed_help(records, "9783611484100").message
        with pytest.raises(RefusedError, match="two neighbours swapped"):
            find_edition(records, "9783611484100")


def test_two_numbers_of_the_catalog_that_a_swap_tells_apart_are_a_question(library: Library, tmp_path: Path) -> None:
    with library.reading() as records:
        assert identify(records, "9783161484100", None).certain
    import_text(library, tmp_path, ListKind.EDITIONS, "key,number,title\nX1,9783611484100,Invented Twin\n")
    with library.reading() as records:
        thing = identify(records, "9783161484100", None)
        assert (thing.certain, thing.verdict) == (False, MatchVerdict.ELSEWHERE)
        assert [candidate.edition.key for candidate in thing.candidates] == ["F2", "X1"]
        assert ReasonKind.TWIN_NUMBER in {reason.kind for reason in thing.why}
        assert "compare the digits" in reasons_words(look_up(records, "9783161484100", 20).why)


@pytest.mark.parametrize(
    "typed", ["97803064A6157", "376104250021234569", "19780306406154", "9.78E+12", "9780306406158"]
)
def test_why_a_number_is_none_is_said(library: Library, typed: str) -> None:
    with library.reading() as records:
        found = find_anything(records, typed, 20)
        assert found.why[0].kind is ReasonKind.REJECTED
        assert search(records, typed).why == found.why
        assert typed_help(records, typed).message


def test_titles_are_like_what_is_typed_in_another_script(wide: Library) -> None:
    with wide.reading() as records:
        thing = identify(records, "voyna i mokh", None)
    assert [candidate.edition.key for candidate in thing.candidates] == ["R1"]
    assert not thing.certain


TYPED = ("gulls", "gulsl", "xyzzy", "ferns 2", "F1", "9783611484100", "9780306406158", "study", "97803064A6157", "Łódź")


@pytest.mark.parametrize("typed", TYPED)
def test_a_search_takes_at_most_six_statements(wide: Library, typed: str) -> None:
    for question in (lambda records: search(records, typed), lambda records: find_anything(records, typed, 20)):
        with wide.reading() as records, count_statements(wide) as count:
            question(records)
        assert count.statements <= 6, count.asked


def test_more_than_asked_for_is_told(wide: Library) -> None:
    with wide.reading() as records:
        assert look_up(records, "ginary", 3).more
        assert not look_up(records, "ginary", 20).more


@pytest.mark.parametrize(
    ("typed", "keys"),
    [
        ("cyclopaedia 5-7", ["W1", "W7"]),
        ("papers 2019/1-2", ["Q1", "Q2"]),
        ("cyclopaedia 8-9", []),
        ("gulls 1980", ["G1"]),
    ],
)
def test_a_range_of_volumes_and_a_year(wide: Library, typed: str, keys: list[str]) -> None:
    with wide.reading() as records:
        assert sorted(edition.key for edition in look_up(records, typed, 10).editions) == keys


def test_a_letter_with_a_serial_names_what_has_that_number(wide: Library) -> None:
    with wide.reading() as records:
        assert [line.copy for line in find_anything(records, "a5", 10).lines] == ["A5-23"]
        assert {line.where for line in find_anything(records, "B1", 10).lines} == {"box B1-56"}
        none = find_anything(records, "A99", 10)
        assert [(reason.kind, reason.number) for reason in none.why] == [(ReasonKind.NO_SUCH_NUMBER, "A99-50")]
        assert find_anything(records, "S3", 10).lines == ()


def test_a_key_comes_before_a_number_without_check_digits(wide: Library, tmp_path: Path) -> None:
    import_text(wide, tmp_path, ListKind.EDITIONS, "key,title\nA5,A Book of That Key\n")
    with wide.reading() as records:
        assert [line.title for line in find_anything(records, "A5", 10).lines] == ["A Book of That Key"]


def test_of_two_numbers_typed_both_are_found(wide: Library) -> None:
    with wide.reading() as records:
        found = look_up(records, "9780306406157 9783161484100", 10)
        offered = identify(records, "9780306406157 9783161484100", "B1-56")
    assert sorted(edition.key for edition in found.editions) == ["F1", "F2"]
    assert {candidate.edition.key for candidate in offered.candidates} == {"F1", "F2"}
    assert not offered.certain
