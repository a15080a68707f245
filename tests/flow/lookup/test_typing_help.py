"""Help while a person types, on the small invented library. The numbers are the standards' examples."""

from pathlib import Path

import pytest

from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.typing_help import SHOWN, TypedHelp, typed_help
from tests.flow.conftest import import_text


def help_with(library: Library, text: str) -> TypedHelp:
    with library.reading() as records:
        return typed_help(records, text)


def test_a_whole_number_names_its_edition(library: Library) -> None:
    known = help_with(library, "9780306406157")
    assert (known.good, known.repairs, len(known.titles)) == (True, (), 1)
    assert known.titles[0][1:] == ("Ferns of the Outer Isles, vol. 1", "1990", "978-0-306-40615-7")
    assert "978-0-306-40615-7" in known.message
    unknown = help_with(library, "9780110002224")
    assert (unknown.good, unknown.titles) == (True, ())
    assert unknown.message.startswith("ISBN 978-0-11-000222-4")
    assert "catalog" in unknown.message
    assert "catalog" not in known.message


def test_a_supplement_tells_one_issue_from_the_other(library: Library) -> None:
    assert [title[1] for title in help_with(library, "977026435900-8 06").titles] == ["The Shore Quarterly"]
    assert len(help_with(library, "977026435900-8").titles) == 2


def test_a_wrong_number_is_told_with_the_catalogs_number_first(library: Library) -> None:
    """One digit of 978-0-306-40615-7 is wrong: several numbers would pass, and one is in the catalog."""
    wrong = help_with(library, "9780306406158")
    assert (wrong.good, wrong.titles) == (False, ())
    assert wrong.message
    assert 1 < len(wrong.repairs) <= SHOWN
    assert wrong.repairs[0][0] == "978-0-306-40615-7"
    assert all(how for _, how in wrong.repairs)


@pytest.mark.parametrize("text", ["gul", "guide to gulls", "ferns 2", "gulls 1996", "gulls 1997"])
def test_words_are_no_wrong_number(library: Library, text: str) -> None:
    found = help_with(library, text)
    assert (found.message, found.good, found.repairs) == ("", False, ())
    # "ferns 2" is the second volume of a set, and 1996 the year of an edition; no edition is of 1997.
    assert bool(found.titles) is ("1997" not in text)


@pytest.mark.parametrize("text", ["", "  ", "-", "…"])
def test_nothing_is_said_of_nothing(library: Library, text: str) -> None:
    assert help_with(library, text) == TypedHelp("", good=False)


def test_only_the_first_titles_are_shown(library: Library, tmp_path: Path) -> None:
    import_text(
        library, tmp_path, ListKind.EDITIONS, "title\n" + "".join(f"Tides of Year {n}\n" for n in range(SHOWN + 4))
    )
    assert len(help_with(library, "tides").titles) == SHOWN
