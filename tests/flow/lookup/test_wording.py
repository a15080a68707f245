"""How editions, volumes and numbers are written for a person."""

import pytest

from intake.flow.lookup.wording import edition_words, title_words, volume_words, whole_words, written_number
from intake.model.editions import Edition


def edition(**fields: str | int | None) -> Edition:
    return Edition(id=1, title="Gulls", **fields)  # type: ignore[arg-type] # fields by name


def test_what_tells_an_edition_from_others() -> None:
    full = edition(statement="2nd edition", binding="hardcover", year=1996)
    assert edition_words(full) == "2nd edition, hardcover, 1996"
    assert edition_words(edition(year=1996)) == "1996"
    assert edition_words(edition()) == ""
    assert whole_words(full) == "Gulls (2nd edition, hardcover, 1996)"
    assert whole_words(edition()) == "Gulls"


@pytest.mark.parametrize(
    ("volume", "title", "alone"),
    [("2", "Gulls, vol. 2", "Volume 2"), ("XIV", "Gulls, vol. XIV", "Volume XIV"), ("Atlas", "Gulls, Atlas", "Atlas"),
     ("Band 2", "Gulls, Band 2", "Band 2")],
)  # fmt: skip
def test_a_bare_number_is_said_to_be_a_volumes(volume: str, title: str, alone: str) -> None:
    assert title_words(edition(volume=volume)) == title
    assert volume_words(edition(volume=volume)) == alone
    assert title_words(edition()) == "Gulls"


def test_numbers_with_their_hyphens_and_supplement() -> None:
    assert written_number(edition(number="9780306406157")) == "978-0-306-40615-7"
    assert written_number(edition(number="9770264359008", add_on="05")) == "0264-3596 + 05"
    assert written_number(edition(number="no number")) == "no number"
    assert written_number(edition()) == ""
