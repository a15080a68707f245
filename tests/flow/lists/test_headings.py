"""Headings in many languages, their units, and what becomes of a heading that means two fields or none."""

import pytest

from intake.edges.exchange.heading_table import foreign_headings, words_in_cells
from intake.errors import FileError, UsageError
from intake.flow.lists.headings import ColumnGuess, Unused, guess_columns, split_unit, with_other_list
from intake.flow.lists.import_list import COLUMNS, ListKind

LANGUAGES = ("de", "fr", "es", "it", "nl", "pt", "sv", "da", "nb", "fi", "pl", "cs", "hu")


def guessed(header: list[str], kind: ListKind = ListKind.EDITIONS, **mapping: str) -> list[ColumnGuess]:
    return list(guess_columns(header, COLUMNS[kind], file="a.csv", mapping=mapping))


def fields(header: list[str], kind: ListKind = ListKind.EDITIONS, **mapping: str) -> list[str]:
    return [guess.field for guess in guessed(header, kind, **mapping)]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("kind", ListKind)
def test_a_list_headed_in_one_language_is_understood_whole(language: str, kind: ListKind) -> None:
    header = [foreign_headings()[column.words_of or column.field][language][0] for column in COLUMNS[kind]]
    found = fields(header, kind)
    wanted = [column.field for column in COLUMNS[kind]]
    # A word that is another field's as well ('Band' of a set or of a binding) is left to the person, never swapped.
    assert all(field in ("", right) for field, right in zip(found, wanted, strict=True))
    assert sum(map(bool, found)) >= 0.8 * len(wanted)
    assert {column.field for column in COLUMNS[kind] if column.required} <= set(found)


def test_every_field_has_a_word_in_every_language() -> None:
    known = {column.words_of or column.field for columns in COLUMNS.values() for column in columns}
    for field in known:
        assert set(foreign_headings()[field]) == set(LANGUAGES), field
    assert {"summe", "total", "razem"} <= words_in_cells("@total")


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Höhe (cm)", "height_mm", "cm"),
        ("HOEHE", "", ""),
        ("Breite in cm", "width_mm", "cm"),
        ("Gewicht [kg]", "mass_g", "kg"),
        ("Height/in", "height_mm", "in"),
        ("thickness_mm", "thickness_mm", "mm"),
        ("printed_in", "printed_in", ""),
        ("Épaisseur", "thickness_mm", ""),
        ("Author(s)", "contributors", ""),
        ("Verlag (Ort)", "publisher", ""),
    ],
)
def test_units_are_taken_from_headings(heading: str, field: str, unit: str) -> None:
    (guess,) = guessed([heading])
    assert (guess.field, guess.unit) == (field, unit)


def test_a_currency_is_taken_from_the_heading_of_an_amount() -> None:
    assert [guess.currency for guess in guessed(["key", "Preis (EUR)"], ListKind.COPIES)] == ["", "EUR"]
    assert split_unit("Titel") == ("Titel", "")


def test_the_language_of_the_other_headings_decides_between_two_meanings() -> None:
    # 'Band' is a volume in German and a binding in Dutch and Swedish.
    assert fields(["Titel", "Verfasser", "Band", "Verlag"])[2] == "volume"
    assert fields(["Titel", "Uitgever", "Jaar", "Band"])[3] == "binding"
    (_, band) = guessed(["title", "Band"])
    assert (band.field, band.unused) == ("", Unused.AMBIGUOUS)
    assert set(band.other.split(", ")) == {"volume", "binding"}


def test_of_two_columns_for_one_field_the_other_says_which_is_used() -> None:
    first, second, third = guessed(["title", "ISBN-13", "EAN"])
    assert (first.field, second.field) == ("title", "number")
    assert (third.unused, third.other) == (Unused.FIELD_TAKEN, "ISBN-13")


def test_columns_without_a_use_say_why() -> None:
    assert [guess.unused for guess in guessed(["title", "Shoe size", " "])] == [
        None,
        Unused.NOT_UNDERSTOOD,
        Unused.NO_HEADING,
    ]


def test_a_column_of_another_list_says_which() -> None:
    """A table often holds what the books are and what one has of them: nothing of it is 'not understood' then."""
    copies = COLUMNS[ListKind.COPIES]
    guesses = with_other_list(guessed(["Titel", "Kaufpreis", "Schuhgröße"]), "copies", copies)
    assert [(guess.unused, guess.other) for guess in guesses] == [
        (None, ""),
        (Unused.OTHER_LIST, "copies"),
        (Unused.NOT_UNDERSTOOD, ""),
    ]


def test_equal_headings_of_a_field_are_refused_until_one_is_chosen() -> None:
    with pytest.raises(FileError) as caught:
        guessed(["title", "title", "isbn"])
    assert "title=column B" in caught.value.remedy
    assert fields(["title", "title", "isbn"], title="column B") == ["", "title", "number"]
    with pytest.raises(UsageError):
        guessed(["title", "title"], title="title")
    assert fields(["title", "x", "x"]) == ["title", "", ""]


def test_a_person_may_use_a_column_twice_or_not_at_all() -> None:
    assert fields(["title", "isbn"], key="isbn", number="isbn") == ["title", "key", "number"]
    assert fields(["title", "pages"], pages="") == ["title", ""]
