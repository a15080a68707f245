"""The person's rule: Unicode collation, articles, volumes, call numbers.

Collation is held against pyuca, an implementation of the Unicode Collation Algorithm that shares no code with ICU, and
against the alphabets of single languages (CLDR). The filing examples for call numbers are from memory of the Library of
Congress's Shelflisting Manual and of Dewey's introduction; pycallnumber, a library of the University of North Texas, is
asked for a second opinion.
"""

import random
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.errors import UsageError
from intake.model.editions import Edition
from intake.model.shelving import Ordering
from intake.shelving.call_numbers import CallKey, congress_key, dewey_key
from intake.shelving.collation import collator, filing_title
from intake.shelving.order import key_function, parse_keys, size_class, volume_key

CONGRESS_IN_ORDER = [
    "Q1 .A1",
    "QA9 .R3",
    "QA76 .A1",
    "QA76 .C65",
    "QA76 .C65 1998",
    "QA76 .C65 1998 v.2",
    "QA76 .C65 1998 v.10",
    "QA76 .C65 2001",
    "QA76 .C7",
    "QA76.5 .B2",
    "QA76.73 .B3",
    "QA76.8 .A5",
    "QA100 .A1",
    "QL676 1990 .S35",
    "QL676 .R275",
    "QL676 .R275 D4",
    "QL676 .R275 D45",
    "QL676 .R3",
    "QL676 .R3x",
    "QL676 .R31",
    "QL1000 .A2",
    "SB1 .A1",
]

DEWEY_IN_ORDER = [
    "599",
    "599 B7",
    "599 B72",
    "599 B72 1990",
    "599.09",
    "599.0973 A1",
    "599.1",
    "599.35",
    "599.4 D25",
    "599.4 D251",
    "599.4 D3",
    "599.4 D3 v.2",
    "599.4 D3 v.10",
    "600",
    "823.9 A1",
    "823.91/4 A1",
    "823.92",
    "R 500",
]


def shuffled(texts: list[str]) -> list[str]:
    mixed = list(texts)
    random.Random(5).shuffle(mixed)
    return mixed


@pytest.mark.parametrize(
    ("texts", "key"), [(CONGRESS_IN_ORDER, congress_key), (DEWEY_IN_ORDER, dewey_key)], ids=["congress", "dewey"]
)
def test_call_numbers_file_as_published(texts: list[str], key: Callable[[str], CallKey | None]) -> None:
    assert sorted(shuffled(texts), key=lambda text: key(text) or ()) == texts


@pytest.mark.slow
def test_a_second_opinion_on_call_numbers() -> None:
    pycallnumber = pytest.importorskip("pycallnumber", reason="pycallnumber is not installed")
    rng = random.Random(8)

    def congress() -> str:
        number = f"{rng.choice(['Q', 'QA', 'QL', 'SB'])}{rng.randint(1, 9999)}"
        decimal = f".{rng.randint(1, 99)}" if rng.random() < 0.4 else ""
        cutters = " ".join(
            f"{'.' if not n else ''}{rng.choice('ABC')}{rng.randint(2, 99)}" for n in range(rng.randint(1, 2))
        )
        return f"{number}{decimal} {cutters} {rng.randint(1950, 2020)}"

    def dewey() -> str:
        decimal = f".{rng.randint(1, 9999)}" if rng.random() < 0.7 else ""
        return f"{rng.randint(100, 999)}{decimal} {rng.choice('ABC')}{rng.randint(2, 99)} {rng.randint(1950, 2020)}"

    for make, key in ((congress, congress_key), (dewey, dewey_key)):
        texts = sorted({make() for _ in range(150)})
        theirs = sorted(texts, key=lambda text: pycallnumber.callnumber(text).for_sort())
        assert sorted(texts, key=lambda text, key=key: key(text) or ()) == theirs  # type: ignore[misc] # bound here


@pytest.mark.parametrize("text", ["", "birds", "12", "QA", "A1-59 is no class of four letters: ABCD 12"])
def test_what_is_no_call_number(text: str) -> None:
    assert dewey_key(text) is None
    assert congress_key(text) is None or text.startswith("A1")


@cache
def unicode_collator() -> Any:
    return pytest.importorskip("pyuca", reason="pyuca is not installed").Collator()


WORDS = st.text(st.sampled_from("abcdeéèêëßøæœñzÀÉŽč αβγάΔабвгдё"), max_size=8)


@given(st.lists(WORDS, max_size=8))
def test_collation_follows_the_unicode_algorithm(words: list[str]) -> None:
    independent = unicode_collator()
    assert sorted(words, key=lambda w: (collator("en")(w), w)) == sorted(
        words, key=lambda w: (independent.sort_key(w), w)
    )


@pytest.mark.parametrize("language", ["qqx-notalanguage", "xx", ""])
def test_a_language_that_does_not_exist(language: str) -> None:
    with pytest.raises(UsageError, match="is unknown"):
        collator(language)


@pytest.mark.parametrize(
    ("language", "in_order"),
    [
        ("sv", ["ytter", "zebra", "ål", "äng", "ö"]),
        ("da", ["zebra", "æg", "ø", "å"]),
        ("de", ["Ähre", "Algen", "Zaun"]),
        ("de-u-co-phonebk", ["Ader", "Ähre", "Affe"]),
        ("cs", ["cibule", "čas", "hrad", "chata", "ibis"]),
        ("es", ["nube", "ñandú", "oso"]),
        ("en", ["New York", "Newark", "Plate 9", "Plate 10"]),
    ],
)
def test_the_alphabet_is_the_language_s_own(language: str, in_order: list[str]) -> None:
    assert sorted(shuffled(in_order), key=collator(language)) == in_order


@pytest.mark.parametrize(
    ("title", "language", "filed"),
    [
        ("The Gulls", "eng", "Gulls"),
        ("Die Gräser", "ger", "Gräser"),
        ("Die Gräser", "eng", "Die Gräser"),
        ("‘The Gulls’ revisited", "eng", "Gulls' revisited"),
        ("L'Île", "fr", "Île"),
        ("'t Hooge Land", "nl", "Hooge Land"),
        ("Une saison", "fre", "saison"),
        ("Der", "ger", "Der"),
        ("Theory", "eng", "Theory"),
        ("Al-Tuyur", "ara", "Tuyur"),
        ("A kék madár", "hun", "kék madár"),
        ("", "eng", ""),
        ("…", "", "…"),
    ],
)
def test_leading_articles_are_dropped_by_language(title: str, language: str, filed: str) -> None:
    assert filing_title(title, language) == filed


def edition(id: int, title: str, **more: object) -> Edition:  # noqa: A002 - the field is called so
    return Edition(id=id, title=title, **more)  # type: ignore[arg-type] # the fields are those of Edition


def test_a_rule_of_several_keys() -> None:
    key = key_function(Ordering(keys=("subject", "set", "volume", "year")))
    books = [
        (edition(1, "The Auk", subject="Birds", language="eng", year=1990), ""),
        (edition(2, "Gulls", subject="Birds", volume="2"), "Seabirds"),
        (edition(3, "Auks", subject="Birds", volume="10"), "Seabirds"),
        (edition(4, "Terns", subject="Birds", volume="1"), "Seabirds"),
        (edition(5, "The Auk", subject="Birds", language="eng", year=1970), ""),
        (edition(6, "Zebras", subject="Atlases"), ""),
    ]
    assert [one.id for one, _ in sorted(books, key=lambda pair: key(*pair))] == [6, 5, 1, 4, 2, 3]


def test_authors_file_by_family_name() -> None:
    key = key_function(Ordering(keys=("author",)))
    books = [
        edition(1, "a", contributors=("Ansgar Wickenlow",)),
        edition(2, "b", contributors=("Oulde, Petra",)),
        edition(3, "c", contributors=("Arany Zsolt",), language="hun"),
        edition(4, "d"),
    ]
    assert [one.id for one in sorted(books, key=lambda one: key(one, ""))] == [4, 3, 2, 1]


def test_call_numbers_in_a_rule_and_books_that_have_none() -> None:
    key = key_function(Ordering(keys=("dewey", "title")))
    books = [edition(n, str(n), call_number=text) for n, text in enumerate(["599.1", "", "maps", "599.09", "598"])]
    assert [one.id for one in sorted(books, key=lambda one: key(one, ""))] == [1, 4, 3, 0, 2]


def test_volumes_follow_their_numbers() -> None:
    wanted = ["", "1", "Band 2", "III", "vol. 10", "Register"]
    assert sorted(shuffled(wanted), key=lambda text: volume_key(text, collator("en"))) == wanted


@pytest.mark.parametrize(
    ("text", "why"), [("subject, colour", "use some of"), ("titel", "did you mean 'title'"), ("", "has no key"),
                      ("title title", "given twice")]
)  # fmt: skip
def test_a_rule_that_cannot_be_used(text: str, why: str) -> None:
    with pytest.raises(UsageError, match=why):
        parse_keys(text)


@pytest.mark.parametrize(
    ("roman", "number"),
    [("i", 1), ("iv", 4), ("ix", 9), ("xiv", 14), ("xl", 40), ("xc", 90), ("cd", 400), ("cm", 900), ("MCMXCIV", 1994),
     ("MMXXVI", 2026)],
)  # fmt: skip
def test_roman_volumes_are_their_numbers(roman: str, number: int) -> None:
    assert volume_key(f"vol. {roman}", str.encode)[1] == (number,)


@pytest.mark.parametrize(("height", "size"), [(None, 0), (0, 0), (260, 0), (260.1, 1), (340, 1), (340.1, 2)])
def test_sizes_by_their_limits(height: float | None, size: int) -> None:
    assert size_class(height) == size
    key = key_function(Ordering(keys=("size",)))
    assert key(edition(1, "a", height_mm=height), "") == (size,)


def test_a_book_without_a_year_comes_first_and_a_set_files_by_its_title() -> None:
    years = key_function(Ordering(keys=("year",)))
    books = [edition(1, "a", year=1990), edition(2, "b"), edition(3, "c", year=1880)]
    assert [one.id for one in sorted(books, key=lambda one: years(one, ""))] == [2, 3, 1]
    titles = key_function(Ordering(keys=("set",)))
    assert titles(edition(1, "Zebras", language="eng"), "The Auks") == titles(
        edition(2, "The Auks", language="eng"), ""
    )
    volumes = key_function(Ordering(keys=("volume",)))
    assert volumes(edition(1, "a", add_on="02"), "") == volumes(edition(2, "b", volume="02"), "")


def test_a_name_that_is_one_word_or_put_about_files_as_it_stands() -> None:
    key = key_function(Ordering(keys=("author",)))
    assert key(edition(1, "a", contributors=("Oulde",)), "") == key(edition(2, "b", contributors=(" Oulde ",)), "")
    assert key(edition(1, "a", contributors=("Petra Oulde", "Ada Ash")), "") == key(
        edition(2, "b", contributors=("Oulde, Petra",)), ""
    )


def test_a_rule_as_a_person_writes_it() -> None:
    assert parse_keys("Subject, SET volume; title") == ("subject", "set", "volume", "title")
