"""Titles without their leading article, whichever way their language is written. The titles are invented."""

import pytest

from intake.errors import UsageError
from intake.shelving.collation import collator, filing_title


@pytest.mark.parametrize("language", ["en", "EN", "eng", "en-GB", "en-US-posix"])
def test_a_language_is_known_by_its_codes_and_by_its_tag(language: str) -> None:
    """ISO 639-1 and 639-2, and BCP 47, whose first part is the language."""
    assert filing_title("The Auks", language) == "Auks"


@pytest.mark.parametrize("language", ["de", "ger", "deu", "de-AT", "de-u-co-phonebk"])
def test_both_codes_of_iso_639_2_mean_the_same_language(language: str) -> None:
    assert filing_title("Die Möwen", language) == "Möwen"
    assert filing_title("The Auks", language) == "The Auks", "an article of another language is a word"


@pytest.mark.parametrize("language", ["", "xx", "und"])
def test_in_an_unknown_language_no_article_is_dropped(language: str) -> None:
    assert filing_title("The Auks", language) == "The Auks"


@pytest.mark.parametrize(
    ("title", "language", "filed"),
    [
        ("  “The Auks”  ", "en", "Auks”"),
        ("[Anonymous birds]", "en", "Anonymous birds]"),
        ("Theory of Auks", "en", "Theory of Auks"),  # the article is a word of its own
        ("A", "en", "A"),  # nothing would be left
        ("The …", "en", "The …"),
        ("L'île", "fr", "île"),
        ("Lîle", "fr", "Lîle"),
        ("'t Wad", "nl", "Wad"),
        ("al-Tuyur", "ara", "Tuyur"),
        ("al Tuyur", "ara", "al Tuyur"),
        ("...", "en", "..."),
    ],
)
def test_what_a_title_files_under(title: str, language: str, filed: str) -> None:
    assert filing_title(title, language) == filed


def test_numbers_inside_a_text_sort_as_numbers() -> None:
    assert sorted(["Auks 10", "Auks 9", "Auks"], key=collator("en")) == ["Auks", "Auks 9", "Auks 10"]


@pytest.mark.parametrize("language", ["xq", "not a language", ""])
def test_the_collation_of_no_language_is_refused(language: str) -> None:
    with pytest.raises(UsageError):
        collator(language)
