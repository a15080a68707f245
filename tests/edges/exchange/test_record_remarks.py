"""Remarks stay few and small, whatever the file."""

from intake.edges.exchange.record_remarks import LONGEST_EXAMPLE, MOST_PLACES, OTHER_PLACES, RemarkKind, Remarks


def test_a_remark_counts_and_keeps_its_first_example() -> None:
    remarks = Remarks()
    for record, text in ((3, "first" * 100), (5, "second")):
        remarks.record = record
        remarks.left_out("520", text)
    (remark,) = remarks
    assert (remark.count, remark.record, remark.example) == (2, 3, ("first" * 100)[:LONGEST_EXAMPLE])


def test_an_example_that_is_dear_to_make_is_made_once() -> None:
    made: list[str] = []

    def example() -> str:
        made.append("x")
        return "x"

    remarks = Remarks()
    remarks.left_out("520", example)
    remarks.left_out("520", example)
    assert made == ["x"]


def test_a_file_with_ever_new_parts_does_not_fill_the_memory() -> None:
    remarks = Remarks()
    for nth in range(MOST_PLACES * 3):
        remarks.left_out(f"Part{nth}", "x")
    listed = {remark.where: remark.count for remark in remarks}
    assert len(listed) == MOST_PLACES + 1
    assert listed[OTHER_PLACES] == MOST_PLACES * 2
    remarks.clear()
    assert list(remarks) == []


def test_remarks_stand_by_kind_and_then_by_place() -> None:
    remarks = Remarks()
    remarks.add(RemarkKind.REPAIRED, "a")
    remarks.left_out("c", "")
    remarks.left_out("b", "")
    assert [remark.where for remark in remarks] == ["b", "c", "a"]
