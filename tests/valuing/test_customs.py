"""Headings against chapters 49 and 97 of the Harmonized System (World Customs Organization).

4901 printed books: .91 dictionaries and encyclopaedias, .99 other; 4902.90 periodicals that appear less than four times
a week; 4903 children's picture, drawing or colouring books; 4904 music; 4905 maps (seen in copies of the US and EU
tariffs; 4905.20 for maps in book form in the EU's only); note 3 to chapter 49: bound newspapers and periodicals go to
4901. 9706.10 antiques over 250 years, 9706.90 over 100 (seen in a copy of the 2022 edition).
"""

from datetime import date
from typing import Any

import pytest

from intake.model.editions import Edition
from intake.valuing.customs import (
    AntiqueQuestion,
    HeadingQuestion,
    HeadingReason,
    antique_question,
    tariff_heading,
)

ISSN, ISMN, ISBN = "9770264359008", "9790260000438", "9780306406157"
IMPORTED = date(2026, 11, 26)


def edition(title: str = "Ferns", **fields: Any) -> Edition:
    return Edition(id=1, title=title, **fields)


@pytest.mark.parametrize(
    ("book", "code", "reason"),
    [
        (edition(number=ISBN), "4901.99", HeadingReason.NO_OTHER),
        (edition(), "4901.99", HeadingReason.NO_OTHER),
        (edition(subject="Dictionaries"), "4901.91", HeadingReason.DICTIONARY_SUBJECT),
        (edition(subject="An ENCYCLOPAEDIA of ferns"), "4901.91", HeadingReason.DICTIONARY_SUBJECT),
        (edition(number=ISMN), "4904.00", HeadingReason.MUSIC_NUMBER),
        (edition(number=ISMN, subject="Dictionaries"), "4904.00", HeadingReason.MUSIC_NUMBER),
        (edition(number=ISBN, subject="Sheet music"), "4904.00", HeadingReason.MUSIC_SUBJECT),
        (edition(number=ISBN, subject="Music"), "4901.99", HeadingReason.NO_OTHER),  # a book about it
        (edition(number="9791234567896"), "4901.99", HeadingReason.NO_OTHER),  # 979 is a book, 979-0 is music
        (edition(number=ISSN), "4902.90", HeadingReason.SERIAL_NUMBER),
        (edition(number=ISSN, binding="softcover"), "4902.90", HeadingReason.SERIAL_NUMBER),
        (edition(number=ISSN, binding="Hardcover"), "4901.99", HeadingReason.BOUND_RUN),
        (edition(number=ISSN, binding="bound volume"), "4901.99", HeadingReason.BOUND_RUN),
        (edition(number=ISSN, binding="red cloth"), "4901.99", HeadingReason.BOUND_RUN),
        (edition(number=ISSN, binding="half leather"), "4901.99", HeadingReason.BOUND_RUN),
        (edition(binding="hardcover", subject="Colouring books"), "4903.00", HeadingReason.PICTURE_BOOK_SUBJECT),
        (edition(subject="Children's picture books"), "4903.00", HeadingReason.PICTURE_BOOK_SUBJECT),
        (edition("Sea Charts", subject="Atlases"), "4905.20", HeadingReason.MAPS_SUBJECT),
        (edition("Maps of Ombreval", subject="Old maps"), "4905.20", HeadingReason.MAPS_SUBJECT),
        (edition("A Pocket Atlas", subject="Cartography"), "4905.20", HeadingReason.MAPS_SUBJECT),
        (edition(subject="Mapmakers' lives"), "4901.99", HeadingReason.NO_OTHER),  # a word, not the beginning of one
        (edition(hs_heading="4905.91", number=ISMN), "4905.91", HeadingReason.SET_BY_OWNER),
    ],
)
def test_headings(book: Edition, code: str, reason: HeadingReason) -> None:
    heading = tariff_heading(book)
    assert (heading.code, heading.reason, heading.question) == (code, reason, None)
    assert heading.heading == code[:4]


@pytest.mark.parametrize(
    ("book", "code", "question"),
    [
        (edition("Atlas of Drowned Valleys"), "4905.20", HeadingQuestion.ATLAS_OF_MAPS),
        (edition("A Small Atlas", subject="Geography"), "4905.20", HeadingQuestion.ATLAS_OF_MAPS),
        (edition("Atlas of the Bones", subject="Anatomy"), "4901.99", HeadingQuestion.ATLAS_OF_OTHER),
        (edition("Atlas of the Bones", subject="Anatomy", hs_heading="4901.99"), "4901.99", None),
        (edition("Atlas of the Coast", subject="Atlases"), "4905.20", None),
        (edition("Atlantic Ferns", subject="Plants"), "4901.99", None),
    ],
)
def test_a_title_that_says_atlas_makes_a_question(book: Edition, code: str, question: HeadingQuestion | None) -> None:
    assert (tariff_heading(book).code, tariff_heading(book).question) == (code, question)


@pytest.mark.parametrize(
    ("fields", "code", "question"),
    [
        # 4905.20 is maps in book form: the group a leaflet is shelved with does not make it one.
        ({"title": "Tide Tables (leaflet)", "binding": "leaflet", "pages": 8}, "4901.99", HeadingQuestion.SHEET_OR_MAP),
        ({"title": "Tide Tables", "binding": "folded sheet"}, "4901.99", HeadingQuestion.SHEET_OR_MAP),
        ({"title": "Tide Tables", "pages": 4}, "4901.99", HeadingQuestion.SHEET_OR_MAP),
        ({"title": "A Small Atlas", "binding": "leaflet", "subject": ""}, "4901.99", HeadingQuestion.SHEET_OR_MAP),
        ({"title": "Tide Tables", "binding": "leaflet", "subject": "Sea"}, "4901.99", HeadingQuestion.SINGLE_SHEET),
        ({"title": "Poems of the Coast", "pages": 96}, "4905.20", HeadingQuestion.MAPS_BY_SUBJECT),
        ({"title": "Great Atlas of the Skerrow Sea", "pages": 240}, "4905.20", None),
        ({"title": "Tide Tables", "binding": "leaflet", "hs_heading": "4901.10"}, "4901.10", None),
    ],
)
def test_the_group_a_piece_is_shelved_with_makes_a_question(
    fields: dict[str, Any], code: str, question: HeadingQuestion | None
) -> None:
    found = tariff_heading(edition(**{"subject": "Atlases", **fields}))
    assert (found.code, found.question) == (code, question)


@pytest.mark.parametrize(
    ("printed", "asked"),
    [
        # Imported in 2026, worked out by hand from 'over 250 years' and 'over 100 years'.
        (1770, AntiqueQuestion("9706.10", 1770, 256)),
        (1775, AntiqueQuestion("9706.10", 1775, 251)),
        (1776, AntiqueQuestion("9706.90", 1776, 250, on_the_limit=True)),
        (1777, AntiqueQuestion("9706.90", 1777, 249)),
        (1920, AntiqueQuestion("9706.90", 1920, 106)),
        (1925, AntiqueQuestion("9706.90", 1925, 101)),
        (1926, AntiqueQuestion("9706.90", 1926, 100, on_the_limit=True)),
        (1927, None),
        (1930, None),
        (None, None),
    ],
)
def test_age_is_asked_about_and_never_decides(printed: int | None, asked: AntiqueQuestion | None) -> None:
    assert antique_question(edition(), printed, IMPORTED) == asked
    assert tariff_heading(edition()).code == "4901.99"
    assert antique_question(edition(hs_heading="4901.99"), printed, IMPORTED) is None, "the owner has decided"


@pytest.mark.parametrize(
    ("code", "printed", "asked"),
    [
        # 9706.10 is over 250 years, 9706.90 over 100 years; on the limit itself the day of printing decides.
        ("9706.90", 1770, AntiqueQuestion("9706.10", 1770, 256, set_code="9706.90")),
        ("9706 10 00", 1800, AntiqueQuestion("9706.90", 1800, 226, set_code="9706 10 00")),
        ("9706.90", 1950, AntiqueQuestion("4901.99", 1950, 76, set_code="9706.90")),
        ("9706.10", 1770, None),
        ("9706.90", 1776, None),
        ("9706", 1800, None),
        ("9705.10", 1950, None),
    ],
)
def test_a_heading_of_antiques_that_is_set_is_asked_about_where_the_age_is_another(
    code: str, printed: int, asked: AntiqueQuestion | None
) -> None:
    assert antique_question(edition(hs_heading=code), printed, IMPORTED) == asked
    assert tariff_heading(edition(hs_heading=code)).code == code


@pytest.mark.parametrize(
    ("facts", "question"),
    [
        # 4903: children's picture, drawing or colouring books; 4901.10: single sheets, whether or not folded.
        ({"subject": "Children", "pages": 32}, HeadingQuestion.CHILDRENS_PICTURES),
        ({"title": "Where the Gull Went: a picture book for children"}, HeadingQuestion.CHILDRENS_PICTURES),
        ({"pages": 4}, HeadingQuestion.SINGLE_SHEET),
        ({"subject": "Plants", "pages": 320}, None),
    ],
)
def test_what_may_be_of_another_heading_is_asked(facts: dict[str, Any], question: HeadingQuestion | None) -> None:
    found = tariff_heading(edition(**facts))
    assert (found.code, found.question) == ("4901.99", question)
