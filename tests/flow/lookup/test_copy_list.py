"""The list of copies and that of the catalog: what a text names, what is left out, and covers."""

from dataclasses import replace

from intake.edges.store.library import Library
from intake.edges.store.queries.covers import covers_of_copies, covers_of_editions
from intake.flow.lookup.copy_list import CopyList, catalog_page, copy_list
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.condition import ConditionReport, CopyPicture, Occasion
from intake.model.editions import Copy, CopyState
from intake.model.sightings import Picture
from tests.counting import count_statements
from tests.flow.conftest import NOW


def listed(library: Library, text: str = "", state: CopyState | None = None, *, by_state: bool = False) -> CopyList:
    with library.reading() as records:
        return copy_list(records, text, state, 0, 100, by_state=by_state)


def numbers(found: CopyList) -> list[str]:
    return [row.copy.accession for row in found.rows]


def test_copies_by_number_key_word_box_and_state(library: Library) -> None:
    every = numbers(listed(library))
    assert every == ["A1-59", "A2-50", "A3-41", "A4-32", "A5-23"]
    for text in ("A2", "2", "a2-50", "G1", "0-8044-2957-X", "gulls", "gulsl"):
        assert numbers(listed(library, text)) == ["A2-50"], text
    assert numbers(listed(library, "B2")) == ["A5-23"]
    assert numbers(listed(library, "ferns")) == ["A1-59", "A5-23"]
    with library.reading() as records:
        copy = records.get(Copy, "A3-41")
    assert copy is not None
    shelved = replace(copy, state=CopyState.MISSING)
    library.apply(Action(ActionKind.EDIT_COPY, copy.accession), (Change(copy, shelved),))
    missing = listed(library, state=CopyState.MISSING)
    assert (numbers(missing), missing.matching, missing.total) == (["A3-41"], 1, 5)
    assert missing.by_state == {CopyState.PACKED: 4, CopyState.MISSING: 1}
    assert numbers(listed(library, by_state=True)) == ["A1-59", "A2-50", "A4-32", "A5-23", "A3-41"]
    none = listed(library, "ferns", CopyState.MISSING)
    assert (none.matching, none.by_state) == (0, {CopyState.PACKED: 2})


def test_the_catalog_from_its_beginning(library: Library) -> None:
    with library.reading() as records, count_statements(library) as count:
        lines, begin = catalog_page(records, 5, 3, 7)
    assert (begin, count.statements) == (3, 2)
    with library.reading() as records:
        titles = [line.title for nth in (0, 3, 6) for line in catalog_page(records, nth, 3, 7)[0]]
    assert len(titles) == 7
    assert [line.title for line in lines] == titles[3:6]
    assert titles == sorted(titles, key=str.casefold)


def test_the_cover_is_a_photograph_of_the_copy_before_one_of_damage(library: Library) -> None:
    pictures = [Picture(sha256=c * 64, name="p", media_type="image/jpeg", width_px=4, height_px=3) for c in "abc"]
    report = ConditionReport(id=1, copy="A1-59", at=NOW, occasion=Occasion.BEFORE)
    shown = (
        CopyPicture(id=1, copy="A1-59", picture="a" * 64, report=1),
        CopyPicture(id=2, copy="A1-59", picture="b" * 64),
        CopyPicture(id=3, copy="A2-50", picture="c" * 64),
    )
    library.apply(Action(ActionKind.PHOTOGRAPH_COPY, "A1-59"), made(*pictures, report, *shown))
    with library.reading() as records:
        assert covers_of_copies(records, ["A1-59", "A2-50", "A3-41"]) == {"A1-59": "b" * 64, "A2-50": "c" * 64}
        edition = records.get(Copy, "A1-59")
        assert edition is not None
        assert covers_of_editions(records, [edition.edition_id]) == {edition.edition_id: "b" * 64}
