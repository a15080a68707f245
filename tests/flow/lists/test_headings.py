"""Headings in many languages, their units, and what becomes of a heading that means two fields or none."""

import pytest

from intake.edges.exchange.heading_table import foreign_headings, words_in_cells
from intake.errors import FileError, UsageError
from intake.flow.lists.heading_words import split_unit
from intake.flow.lists.headings import ColumnGuess, Unused, guess_columns
from intake.flow.lists.import_list import COLUMNS, ListKind
from intake.flow.lists.unused_columns import with_other_list, with_second_imports
from intake.model.valuations import Basis

LANGUAGES = ("de", "fr", "es", "it", "nl", "pt", "sv", "da", "nb", "fi", "pl", "cs", "hu", "ja")


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


@pytest.mark.parametrize(
    "header", ["Preis Enthält Warum", "Prix Contient Pourquoi", "Prezzo Contiene Perché", "Prijs Bevat Waarom"]
)
def test_plain_words_for_price_and_contents_are_those_of_an_edition_in_a_list_of_editions(header: str) -> None:
    assert fields(header.split()) == ["price", "collects", "why"]
    assert fields(header.split()[:1], ListKind.COPIES) == ["value"]


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


@pytest.mark.parametrize(
    ("header", "value", "taken"),
    [
        (["key", "Price paid", "Insurance value"], "Insurance value", "Price paid"),
        (["key", "Cost", "Valuation"], "Valuation", "Cost"),
        (["Signatur", "Kaufpreis", "Schätzwert"], "Schätzwert", "Kaufpreis"),
        (["Référence", "Prix d'achat", "Estimation"], "Estimation", "Prix d'achat"),
        (["管理番号", "購入価格", "評価額"], "評価額", "購入価格"),
    ],
)
def test_a_valuation_is_the_value_and_what_was_paid_is_named_as_not_used(
    header: list[str], value: str, taken: str
) -> None:
    by_heading = {guess.heading: guess for guess in guessed(header, ListKind.COPIES)}
    assert (by_heading[value].field, by_heading[value].basis) == ("value", None)
    assert (by_heading[taken].unused, by_heading[taken].other) == (Unused.FIELD_TAKEN, value)


@pytest.mark.parametrize(
    ("header", "again"),
    [
        (["Réf", "Valeur", "Estimé le", "Prix payé", "Acheté le"], ("value=Prix payé", "valued_on=Acheté le")),
        (["Nr", "Schätzwert", "Bewertet am", "EK"], ("value=EK", "valued_on=")),
        (["Nr", "Schätzwert", "EK"], ("value=EK",)),
        (["key", "value", "basis", "Price paid"], ()),
        (["key", "Insured value", "Replacement value"], ()),
    ],
)
def test_of_two_amounts_on_different_bases_a_second_import_keeps_the_other_with_its_own_day(
    header: list[str], again: tuple[str, ...]
) -> None:
    guesses = with_second_imports(guessed(header, ListKind.COPIES))
    assert [guess.again for guess in guesses if guess.again] == ([again] if again else [])
    if again:
        mapping = dict(pair.split("=") for pair in again)
        used = {guess.field: guess.heading for guess in guessed(header, ListKind.COPIES, **mapping)}
        assert {field: used.get(field, "") for field in mapping} == mapping


@pytest.mark.parametrize("heading", ["Price paid", "Kaufpreis (EUR)", "Prix d'achat", "Cost", "購入価格（円）"])
def test_what_was_paid_is_a_value_at_purchase(heading: str) -> None:
    (guess,) = guessed([heading], ListKind.COPIES)
    assert (guess.field, guess.basis) == ("value", Basis.PURCHASE)


def test_the_day_of_a_purchase_dates_what_was_paid_and_no_valuation() -> None:
    assert fields(["key", "Price paid", "Date bought"], ListKind.COPIES)[2] == "valued_on"
    assert fields(["Référence", "Prix", "Date d'achat"], ListKind.COPIES)[2] == "valued_on"
    assert fields(["key", "Valuation", "Date valued"], ListKind.COPIES)[2] == "valued_on"
    day = guessed(["key", "Valuation", "Date bought"], ListKind.COPIES)[2]
    assert (day.field, day.unused) == ("", Unused.DAY_OF_PURCHASE)
    assert fields(["key", "Valuation", "Date bought"], ListKind.COPIES, valued_on="Date bought")[2] == "valued_on"


@pytest.mark.parametrize(
    "heading",
    ["Date bought", "Date added", "Date read", "Date acquired", "Date Added", "Date (added)", "Kaufdatum", "購入日"],
)
def test_a_day_of_the_owners_is_never_the_year_of_an_edition(heading: str) -> None:
    (_, day) = guessed(["title", heading])
    assert (day.field, day.unused) == ("", Unused.NOT_UNDERSTOOD)


@pytest.mark.parametrize(
    "heading", ["Publ. year", "Publication Date", "Date Published", "Year of publication", "出版年"]
)
def test_a_day_of_publication_is_the_year(heading: str) -> None:
    assert fields(["title", "Date bought", heading])[1:] == ["", "year"]


def test_a_unit_in_a_heading_is_one_that_the_field_can_have() -> None:
    # German Maße are dimensions and Masse is a mass; a Swiss keyboard has no ß, so that 'Groesse' is left alone.
    assert fields(["Titel", "Maße", "Masse"]) == ["title", "size", "mass_g"]
    assert fields(["Titel", "Format (cm)", "Format"]) == ["title", "size", "binding"]
    assert fields(["title", "H (in)", "W (in)", "H", "W"]) == ["title", "height_mm", "width_mm", "", ""]
    assert [guess.unit for guess in guessed(["書名", "幅（ｃｍ）"])] == ["", "cm"]


def test_a_number_is_no_key_whatever_stands_beside_its_name() -> None:
    assert fields(["Titolo", "Codice ISBN"]) == ["title", "number"]
    assert fields(["ID", "Title", "Box"], ListKind.COPIES) == ["key", "", "box"]
    assert fields(["ID", "Title", "Box"]) == ["key", "title", ""]


def test_an_inventory_number_is_the_copys_own_in_german_as_in_other_languages() -> None:
    for heading in ("Inventarnummer", "Inventory number", "N° inventaire", "Numero inventario", "Inventární číslo"):
        assert fields(["ISBN", heading], ListKind.COPIES)[1] == "copy"
        assert fields(["Title", heading]) == ["title", ""]


@pytest.mark.parametrize(
    ("heading", "order", "unit"),
    [
        ("Maße (H x B x T) in cm", "hwt", "cm"),
        ("Größe BxH (mm)", "wht", "mm"),
        ("H x W x D (in)", "hwt", "in"),
        ("Size (W x D x H)", "wth", ""),
        ("Dimensions (cm)", None, "cm"),
        ("Dimensions (L x H)", None, ""),
    ],
)
def test_a_heading_names_the_order_of_sizes_in_its_cells(heading: str, order: str | None, unit: str) -> None:
    (guess,) = guessed(["Title", heading])[1:]
    assert (guess.field, guess.order, guess.unit) == ("size", order, unit)


@pytest.mark.parametrize("kind", [ListKind.COPIES, ListKind.BOXES])
def test_where_a_thing_is_may_be_a_box_or_a_room_and_is_asked(kind: ListKind) -> None:
    words = ["Location", *(foreign_headings()["@where"][language][0] for language in LANGUAGES)]
    for word in words:
        (guess,) = guessed([word], kind)
        assert (guess.field, guess.unused, guess.other) == ("", Unused.AMBIGUOUS, "box, room"), word
        assert fields([word], kind, room=word) == ["room"]
    assert fields(["Lagerort"], ListKind.PLACES) == [""]
