"""Copies and editions found for a person, one line each."""

from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import copies_of_editions
from intake.edges.store.queries.editions import edition_by_key
from intake.edges.store.queries.shelves import shelves_in_order
from intake.flow.lists.import_list import ListKind
from intake.flow.lookup.find_lines import FoundLine, box_lines, find_anything
from intake.flow.moving import box_lifecycle
from intake.flow.shelves.shelve_copy import shelve
from tests.flow.conftest import NOW, import_text


def found(library: Library, text: str, limit: int = 10) -> list[FoundLine]:
    with library.reading() as records:
        return list(find_anything(records, text, limit).lines)


def copies(lines: list[FoundLine]) -> list[str]:
    return [line.copy.split("-")[0] for line in lines]


def test_a_line_says_which_edition_which_copy_and_where_it_is(library: Library) -> None:
    (line,) = found(library, "978-0-306-40615-7")
    assert line == FoundLine(
        number="978-0-306-40615-7", title="Ferns of the Outer Isles, vol. 1", edition="1990", copy="A1-59",
        state="packed", where="box B1-56",
    )  # fmt: skip


def test_an_edition_without_a_copy_is_a_line_of_its_own(library: Library) -> None:
    lines = {line.edition: line for line in found(library, "gulls")}
    assert (lines["1st edition, 1980"].copy, lines["1st edition, 1980"].state) == ("A2-50", "packed")
    none = lines["2nd edition, 1996"]
    assert (none.copy, none.where, none.number) == ("", "", "978-1-85798-218-3")
    assert none.state not in ("", "packed")


def test_every_copy_of_an_edition_is_a_line_up_to_the_limit(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n3,F1\n3,F1\n")
    assert copies(found(library, "0-306-40615-2")) == ["A1", "A6", "A7"]
    assert copies(found(library, "0-306-40615-2", limit=2)) == ["A1", "A6"]
    assert found(library, "nothing like it") == []


def test_a_copy_by_its_own_number_and_one_that_there_is_not(library: Library) -> None:
    assert copies(found(library, "A5-23")) == ["A5"]
    assert found(library, "A99-84") == []


def test_what_is_in_a_box_and_what_stands_on_a_shelf(library: Library) -> None:
    with library.reading() as records:
        shelf = shelves_in_order(records)[0].number
        edition = edition_by_key(records, "F1")
        assert edition is not None
        (ferns,) = copies_of_editions(records, [edition.id])
    box_lifecycle.close_box(library, "1", station="test")
    box_lifecycle.check_in(library, "1", station="test")
    box_lifecycle.finish(library, "1", station="test")
    shelve(library, ferns.accession, shelf, station="test", now=NOW)
    assert copies(found(library, "B2-47")) == ["A5"]
    (standing,) = found(library, shelf)
    assert (standing.copy, standing.state, standing.where) == ("A1-59", "shelved", "Study · A · 1")


def test_a_box_lists_its_copies_in_the_order_of_their_numbers(library: Library, tmp_path: Path) -> None:
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n" + "2,G2\n" * 7)
    with library.reading() as records:
        lines = list(box_lines(records, "B2-47"))
        assert box_lines(records, "B99-33") == ()
    # By serial, not by letters: A10 comes after A9.
    assert copies(lines) == ["A5", "A6", "A7", "A8", "A9", "A10", "A11", "A12"]
    assert {line.where for line in lines} == {"box B2-47"}
