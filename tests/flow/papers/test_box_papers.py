"""Papers of boxes: which of how many, what each holds and weighs, and where its symbol leads. All invented."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TypeVar

import pytest

from intake.edges.store.library import Library
from intake.errors import RefusedError
from intake.flow.lists.import_list import ListKind
from intake.flow.moving.consignments import measure_outside
from intake.flow.papers.box_label_sizes import lay_out_box_labels
from intake.flow.papers.box_papers import (
    gather_box_labels,
    gather_master_list,
    gather_packing_lists,
    lay_out_master_list,
    lay_out_packing_lists,
    tabulate_master_list,
    tabulate_packing_lists,
)
from intake.flow.papers.face_papers import gather_face_labels, lay_out_face_labels
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperFormat, PaperSource
from intake.model.moving_papers import HandlingMark
from tests.flow.conftest import import_text

Gathered = TypeVar("Gathered")


@pytest.fixture
def boxes(library: Library, tmp_path: Path) -> Library:
    """Eleven boxes, all but the third in one consignment; the first, the second and the tenth list copies."""
    rows = "".join(f"{n},{'R-1' if n != 3 else ''},{1000 * n if n > 1 else ''},500\n" for n in range(1, 12))
    import_text(
        library, tmp_path, ListKind.CONSIGNMENT, "reference,consignee,carrier\nR-1,Bo Lind,Nowhere Lines\nR-2,,\n"
    )
    import_text(library, tmp_path, ListKind.BOXES, f"box,consignment,gross_g,tare_g\n{rows}")
    import_text(library, tmp_path, ListKind.EDITIONS, "key,title,mass_g\nW,Weighed,1250.4\n")
    import_text(library, tmp_path, ListKind.COPIES, "box,key\n10,W\n2,W\n2,W\n2,W\n2,W\n2,W\n2,W\n")
    return library


def gather(library: Library, by: Callable[[PaperSource, PaperOptions], Gathered], options: PaperOptions) -> Gathered:
    with library.reading() as records:
        return by(PaperSource(library, records, date(2026, 3, 31), PaperFormat.PDF), options)


def test_all_boxes_by_their_serials_and_which_of_how_many_each_is(boxes: Library) -> None:
    labels = gather(boxes, gather_box_labels, PaperOptions()).contents
    assert [label["box"] for label in labels] == [str(n) for n in range(1, 12)]
    assert [label["box_of"] for label in labels] == ["1 of 10", "2 of 10", "", *(f"{n} of 10" for n in range(3, 11))]
    assert [label["count"] for label in labels[:3]] == ["4 copies", "7 copies", "0 copies"]
    assert [label["mass"] for label in labels[:3]] == ["6 kg estimated", "2.00 kg", "3.00 kg"]
    assert [label["consignment"] for label in labels[1:3]] == ["R-1", ""]


def test_the_boxes_named_in_their_order_count_in_the_whole_consignment(boxes: Library) -> None:
    labels = gather(boxes, gather_box_labels, PaperOptions(boxes=("10", "2"))).contents
    assert [(label["box"], label["box_of"], label["count"]) for label in labels] == [
        ("10", "9 of 10", "1 copy"), ("2", "2 of 10", "7 copies"),
    ]  # fmt: skip
    with pytest.raises(RefusedError):
        gather(boxes, gather_box_labels, PaperOptions(boxes=("99",)))


def test_the_symbol_of_a_face_opens_the_page_of_the_box_or_is_its_number(boxes: Library) -> None:
    (plain,) = gather(boxes, gather_face_labels, PaperOptions(boxes=("2",)))
    assert (plain.number, plain.serial, plain.opens, plain.box_of, plain.stacking_g) == (
        "B2-47", "2", "B2-47", "2 of 10", None,
    )  # fmt: skip
    for address in ("https://desk.invalid:8443", "https://desk.invalid:8443/"):
        (linked,) = gather(boxes, gather_face_labels, PaperOptions(boxes=("2",), desk_address=address))
        assert linked.opens == "https://desk.invalid:8443/boxes/B2-47"


def test_a_stacking_limit_is_a_mark_only_where_one_is_given(boxes: Library) -> None:
    (without,) = gather(boxes, gather_face_labels, PaperOptions(boxes=("2",)))
    (limited,) = gather(boxes, gather_face_labels, PaperOptions(boxes=("2",), stacking_g=60_000.0))
    assert HandlingMark.STACKING_LIMIT not in without.marks
    assert limited.marks == (*without.marks, HandlingMark.STACKING_LIMIT)
    assert limited.stacking_g == 60_000
    assert {HandlingMark.KEEP_DRY, HandlingMark.THIS_WAY_UP} <= set(without.marks)


def test_a_packing_list_names_the_parties_of_its_consignment(boxes: Library) -> None:
    second, third = gather(boxes, gather_packing_lists, PaperOptions(boxes=("2", "3")))
    assert (second.consignment, second.consignee, second.carrier, second.box_of) == (
        "R-1", "Bo Lind", "Nowhere Lines", "2 of 10",
    )  # fmt: skip
    assert (third.consignment, third.consignee, third.carrier, third.box_of) == ("", "", "", "")
    # By their serials: the seventh copy before the tenth.
    assert [line.number.split("-")[0] for line in second.lines] == ["A5", *(f"A{n}" for n in range(7, 13))]
    assert (second.package.gross_g, second.package.net_g, second.package.quantity) == (2000, 1500, 7)
    every = gather(boxes, gather_packing_lists, PaperOptions())
    assert [len(one.lines) for one in every] == [4, 7, 0, 0, 0, 0, 0, 0, 0, 1, 0]


def test_a_net_mass_needs_both_masses(boxes: Library, tmp_path: Path) -> None:
    import_text(boxes, tmp_path, ListKind.BOXES, "box,gross_g\n12,9000\n")
    first, twelfth = gather(boxes, gather_packing_lists, PaperOptions(boxes=("1", "12")))
    assert (first.package.gross_g, first.package.net_g) == (None, None)
    assert (twelfth.package.gross_g, twelfth.package.net_g) == (9000, None)


def test_packing_lists_in_a_table(boxes: Library) -> None:
    table = tabulate_packing_lists(gather(boxes, gather_packing_lists, PaperOptions(boxes=("10", "1"))), PaperOptions())
    rows = [dict(zip(table.header, row, strict=True)) for row in table.rows]
    assert [str(row["Box"]).split("-")[0] for row in rows] == ["B10", *["B1"] * 4]
    assert (rows[0]["Title"], rows[0]["Mass, kg"], rows[1]["Mass, kg"]) == ("Weighed", 1.25, None)


def test_the_master_list_has_every_box_of_its_consignment(boxes: Library) -> None:
    master = gather(boxes, gather_master_list, PaperOptions(reference="R-1"))
    assert [package.number.split("-")[0] for package in master.packages] == [
        "B1",
        "B2",
        *(f"B{n}" for n in range(4, 12)),
    ]
    assert [package.quantity for package in master.packages][:3] == [4, 7, 0]
    table = tabulate_master_list(master, PaperOptions())
    rows = [dict(zip(table.header, row, strict=True)) for row in table.rows]
    assert (rows[1]["Net, kg"], rows[1]["Gross, kg"], rows[1]["Length, mm"]) == (1.5, 2.0, None)
    assert (rows[0]["Net, kg"], rows[0]["Gross, kg"]) == (None, None)
    assert {"Pieces", "Net, kg", "Gross, kg"} <= set(table.totals)
    with pytest.raises(RefusedError):
        gather(boxes, gather_master_list, PaperOptions(reference="R-2"))


def test_the_size_of_a_box_is_its_outside_where_that_was_measured(boxes: Library, tmp_path: Path) -> None:
    import_text(boxes, tmp_path, ListKind.BOXES, "box,length_mm,width_mm,height_mm\n2,390,290,190\n")
    master = gather(boxes, gather_master_list, PaperOptions(reference="R-1"))
    # The list has the inside; the outside is not known before it is measured.
    assert [package.size_mm for package in master.packages][:2] == [None, None]
    measure_outside(boxes, "2", (400, 300, 200), station="test")
    master = gather(boxes, gather_master_list, PaperOptions(reference="R-1"))
    assert [package.size_mm for package in master.packages][:2] == [None, (400, 300, 200)]


def test_pages_one_sheet_or_list_for_each_box_on_the_paper_chosen(boxes: Library) -> None:
    chosen = PaperOptions(boxes=("2", "10"), size="letter")
    faces = lay_out_face_labels(gather(boxes, gather_face_labels, chosen), chosen)
    packed = lay_out_packing_lists(gather(boxes, gather_packing_lists, chosen), chosen)
    master = lay_out_master_list(gather(boxes, gather_master_list, replace(chosen, reference="R-1")), chosen)
    assert (len(faces.pages), len(packed.pages)) == (2, 2)
    for paper in (faces, packed, master):
        assert {(page.width_mm, page.height_mm) for page in paper.pages} == {chosen.paper_mm}
        assert paper.title
    assert "R-1" in master.title


def test_what_of_a_label_is_not_readable_from_2_m_is_said(boxes: Library, tmp_path: Path) -> None:
    room = "The long room behind the upper landing"
    import_text(boxes, tmp_path, ListKind.BOXES, f"box,room\n1,Study\n2,{room}\n")
    run = gather(boxes, gather_box_labels, PaperOptions(boxes=("1", "2")))
    (said,) = lay_out_box_labels(run, PaperOptions(template="a4-2x4")).notices
    assert "room of B2-47 is not" in said
    assert "B1-56" not in said
    assert lay_out_box_labels(replace(run, contents=run.contents[:1]), PaperOptions(template="a4-2x4")).notices == ()
