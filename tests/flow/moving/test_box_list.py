"""The list of boxes: stages, groups, what a typed text names; counted by hand."""

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies
from intake.flow.moving.box_list import BoxGrouping, BoxList, BoxListRequest, BoxStage, box_list
from intake.flow.moving.draw_rooms import room_map
from intake.flow.unpacking.station import book_line
from tests.counting import count_statements
from tests.flow.conftest import NOW


def listed(library: Library, **asked: object) -> BoxList:
    with library.reading() as records:
        return box_list(records, BoxListRequest(**asked))  # type: ignore[arg-type] # what a test asks for


def numbers(found: BoxList) -> list[str]:
    return [row.box.number for group in found.groups for row in group.rows]


def test_a_box_is_found_by_number_copy_key_word_and_slip(library: Library) -> None:
    with library.reading() as records:
        in_two = next(copy for copy, edition in all_copies(records) if edition.key == "F2")
    for text in (
        "B2",
        "b2-47",
        "box 2",
        "2",
        in_two.accession,
        f"A{in_two.accession[1:].split('-')[0]}",
        "F2",
        "inner isles",
        "innerr",
    ):
        assert numbers(listed(library, text=text)) == ["B2-47"], text
    for text in ("study", "studdy"):
        assert numbers(listed(library, text=text)) == ["B1-56", "B2-47"], text
    assert numbers(listed(library, text="B3")) == numbers(listed(library, text="nothing like it")) == []
    assert listed(library, text="B3").move.boxes, "what does not match is counted all the same"


def test_stages_and_groups(arrived: Library) -> None:
    def stages() -> dict[str, tuple[int, list[str]]]:
        groups = listed(arrived).groups
        return {group.name: (group.total, [row.box.number for row in group.rows]) for group in groups}

    assert stages() == {BoxStage.ARRIVED: (1, ["B1-56"]), BoxStage.PACKING: (1, ["B2-47"])}
    book_line(arrived, "1", "9780306406157", request="r", station="hall", now=NOW)
    assert stages() == {BoxStage.BEGUN: (1, ["B1-56"]), BoxStage.PACKING: (1, ["B2-47"])}
    assert numbers(listed(arrived, stage=BoxStage.BEGUN)) == ["B1-56"]
    by_room = listed(arrived, by=BoxGrouping.ROOM).groups
    assert [(group.name, group.total) for group in by_room] == [("Study", 2)]
    second = listed(arrived, by=BoxGrouping.NUMBER, begin=1, count=1)
    assert (numbers(second), second.begin, second.matching) == (["B2-47"], 1, 2)
    assert listed(arrived, begin=10**6, count=1).begin == 1, "beyond the end is the last page"


def test_the_map_counts_every_box_and_says_so_in_words(arrived: Library) -> None:
    drawn = room_map(listed(arrived).move.boxes)
    assert [(room.name, dict(room.counts)) for room in drawn.rooms] == [
        ("Study", {BoxStage.ARRIVED: 1, BoxStage.PACKING: 1})
    ]
    assert "<title>Study. 1 box: here, still closed; 1 box: open, being packed.</title>" in drawn.rooms[0].drawing
    assert drawn.scale.startswith("One carton is one box. Not to scale")


def test_the_list_takes_as_many_statements_for_two_boxes_as_for_one(library: Library) -> None:
    with library.reading() as records, count_statements(library) as one:
        box_list(records, BoxListRequest(count=1))
    with library.reading() as records, count_statements(library) as two:
        box_list(records, BoxListRequest(count=2))
    assert one.statements == two.statements
