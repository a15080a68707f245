"""A set as a strip: each volume of the catalog and each gap once, in order, filled by where its copy is."""

from dataclasses import replace

from intake.edges.store.library import Library
from intake.flow.values.draw_set import set_list, set_strip
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import BookSet, Copy, CopyState
from tests.counting import count_statements


def test_held_boxed_missing_and_absent_volumes(library: Library) -> None:
    with library.reading() as records:
        (ferns,) = records.all(BookSet)
        copies = {copy.edition_id: copy for copy in records.all(Copy)}
        before = set_strip(records, ferns.id)
    assert before is not None
    assert [name for name, _, _ in before.volumes] == ["1", "2"]
    assert all("packed, box B" in words for _, words, _ in before.volumes)
    lost = copies[before.volumes[1][2] or 0]
    library.apply(
        Action(ActionKind.EDIT_COPY, lost.accession),
        (Change(lost, replace(lost, state=CopyState.MISSING)), Change(ferns, replace(ferns, volumes=4))),
    )
    with library.reading() as records:
        strip = set_strip(records, ferns.id)
        assert set_strip(records, 10**6) is None
    assert strip is not None
    assert [(name, words.split(",")[1].strip() if "copy" in words else words) for name, words, _ in strip.volumes] == [
        ("1", "packed"), ("2", "missing"), ("3", "not in the collection"), ("4", "not in the collection"),
    ]  # fmt: skip
    assert strip.words == "1 volume here; not here: volumes 2, 3 and 4."
    assert "<title>" in strip.drawing
    assert "2: copy" in strip.drawing, "the text alternative names each volume"


def test_a_list_of_sets_takes_a_few_statements_and_is_filtered(library: Library) -> None:
    with library.reading() as records, count_statements(library) as count:
        assert set_list(records, "", 0, 30).total == 1
    assert count.statements <= 6
    with library.reading() as records:
        assert set_list(records, "ferrns", 0, 30).matching == 1, "a slip"
        assert set_list(records, "gulls", 0, 30).matching == 0
