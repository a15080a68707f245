"""Weighing a box of the small library, and what is said of it; masses by hand."""

from dataclasses import replace

import pytest

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import all_copies, box_contents
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.moving import box_lifecycle
from intake.flow.moving.weigh_box import BoxWeighing, explanation_rows, opened_words, record_mass, weigh_box, words_of
from intake.flow.undo import undo
from intake.flow.unpacking.book_scan import book_scan
from intake.flow.unpacking.scan_results import Option, Question, Scan
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState, Edition
from intake.model.withdrawals import WithdrawalReason
from intake.weighing.box_check import Explanation, WeighCheck, WeightVerdict
from intake.weighing.estimates import Estimate
from tests.flow.conftest import NOW, booked


def check(verdict: WeightVerdict, off: float, *explanations: Explanation, alike: int = 0) -> WeighCheck:
    return WeighCheck(verdict, Estimate(15_000, 60, "by its list"), Estimate(off, 75), explanations, alike)


def test_each_verdict_in_words() -> None:
    gone = Explanation(("A1",), 0.8)
    nothing = Explanation((), 0.7)
    said = {
        "agrees": words_of(check(WeightVerdict.AGREES, -100)),
        "heavier": words_of(check(WeightVerdict.HEAVIER, 400)),
        "by none": words_of(check(WeightVerdict.LIGHTER, -400)),
        "all there": words_of(check(WeightVerdict.LIGHTER, -400, nothing, gone)),
        "one": words_of(check(WeightVerdict.LIGHTER, -400, gone, alike=1)),
        "twins": words_of(check(WeightVerdict.LIGHTER, -400, gone, gone, alike=2)),
    }
    assert len(set(said.values())) == 6
    assert said["agrees"].startswith("Agrees: 100 g less than 15.00 kg by its list")
    assert said["heavier"].startswith("Heavier: 400 g more than 15.00 kg by its list (± 150 g)")
    assert all(said[one].startswith("Lighter: 400 g less than 15.00 kg") for one in ("by none", "all there", "one"))
    assert "2 sets" in said["twins"]
    assert "sets" not in said["one"]


def test_explanations_as_rows() -> None:
    titles = {"A1": "Gulls", "A2": "Ferns"}
    found = check(
        WeightVerdict.LIGHTER, -400, Explanation(("A1", "A2"), 0.61), Explanation((), 0.3), Explanation(("A1",), 0.004),
    )  # fmt: skip
    rows = explanation_rows(found, titles)
    assert [percent for percent, _ in rows] == ["61 %", "30 %"]
    assert rows[0][1] == "A1 Gulls; A2 Ferns"
    assert "A1" not in rows[1][1]
    assert len(explanation_rows(found, titles, limit=1)) == 1


def test_a_box_is_compared_with_its_packing_once_it_was_weighed_twice(library: Library) -> None:
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    with library.reading() as records:
        once = weigh_box(records, "1")
    assert once.by_packing is None
    assert once.by_list is not None
    box_lifecycle.check_in(library, "1", station="test")
    record_mass(library, "1", 8200, station="test")
    with library.reading() as records:
        twice = weigh_box(records, "1")
    assert twice.by_packing is not None
    assert twice.by_packing.difference.mean == -800
    assert len(twice.titles) == 4


@pytest.mark.parametrize("grams", [9000.0, 9100.0])
def test_a_box_that_weighs_what_it_did(library: Library, grams: float) -> None:
    box_lifecycle.close_box(library, "1", gross_g=9000, station="test")
    box_lifecycle.check_in(library, "1", station="test")
    record_mass(library, "1", grams, station="test")
    with library.reading() as records:
        found = weigh_box(records, "1").by_packing
    assert found is not None
    assert found.verdict is WeightVerdict.AGREES


MASSES = {"F1": 1000.0, "G1": 700.0, "P5": 300.0, "O1": 2000.0, "F2": 1500.0}


@pytest.fixture
def delivered(library: Library) -> Library:
    """Both boxes with books of known mass, weighed at packing (900 g of box, 250 g of padding) and checked in."""
    with library.reading() as records:
        editions = [edition for edition in records.all(Edition) if edition.key in MASSES]
    changes = [Change(edition, replace(edition, mass_g=MASSES[edition.key])) for edition in editions]
    library.apply(Action(ActionKind.EDIT_EDITION, "masses", "test"), changes)
    for box, gross_g in (("1", 5150), ("2", 2650)):
        box_lifecycle.close_box(library, box, gross_g=gross_g, station="test")
        box_lifecycle.check_in(library, box, seen=box_lifecycle.ArrivalReport(arrived_g=gross_g), station="test")
    return library


def unpack(library: Library, box: str, number: str) -> None:
    booked(book_scan(library, box, Scan(number, f"{box}/{number}"), choose=first_option, station="test", now=NOW))


def first_option(question: Question) -> Option:
    return question.options[0]


def weigh(library: Library, box: str, gross_g: float | None = None) -> BoxWeighing:
    recorded = gross_g is None or record_mass(library, box, gross_g, as_weighed=True, station="test")
    with library.reading() as records:
        return weigh_box(records, box, opened_g=None if recorded else gross_g)


def verdicts(weighing: BoxWeighing) -> tuple[WeightVerdict, WeightVerdict]:
    assert weighing.by_packing is not None
    assert weighing.by_list is not None
    return weighing.by_packing.verdict, weighing.by_list.verdict


AGREE = (WeightVerdict.AGREES, WeightVerdict.AGREES)


def test_a_box_weighed_again_counts_what_was_taken_out_of_it(delivered: Library) -> None:
    assert verdicts(weigh(delivered, "1")) == AGREE
    unpack(delivered, "1", "978-0-306-40615-7")
    # The mass is still that of its arrival, when the book was in it.
    before = weigh(delivered, "1")
    assert verdicts(before) == AGREE
    assert before.by_packing is not None
    assert before.by_packing.taken_out == 0
    # Weighed again it is lighter by the book, and by its quarter of the padding.
    again = weigh(delivered, "1", 5150 - 1000 - 62)
    assert verdicts(again) == AGREE
    assert again.by_packing is not None
    assert again.by_packing.taken_out == 1
    assert again.by_packing.expected.mean == pytest.approx(5150 - 1000 - 62.5)
    assert "less 1 copy taken out before and about 62 g of padding" in words_of(again.by_packing)
    # By its list: 900 g of box, 3000 g of books, and three quarters of the padding.
    assert again.by_list is not None
    assert again.by_list.expected.mean == pytest.approx(900 + 3000 + 187.5)
    by_list = "by its list, with the empty box and about 188 g of padding, less 1 copy taken out before"
    assert by_list in words_of(again.by_list)
    # Lighter by 2 kg more: the atlas, never the book that was taken out.
    lighter = weigh(delivered, "1", 5150 - 1000 - 62 - 2000).by_packing
    assert lighter is not None
    assert lighter.verdict is WeightVerdict.LIGHTER
    rows = explanation_rows(lighter, again.titles, again.elsewhere)
    assert "Old Charts" in rows[0][1]
    assert not any("Ferns" in words for _, words in rows)
    # The box keeps the mass that it arrived with; what it weighed later is told, and in no record.
    assert again.box.arrived_g == 5150
    assert "5.15 kg, weighed on arrival" in opened_words(again.box, 4088)
    assert verdicts(weigh(delivered, "1")) == AGREE


def test_a_copy_that_was_sold_after_it_came_out_is_still_known_to_have_been_in_the_box(delivered: Library) -> None:
    unpack(delivered, "1", "978-0-306-40615-7")
    again = weigh(delivered, "1", 5150 - 1000 - 62)
    with delivered.reading() as records:
        terms = WithdrawalTerms(reason=WithdrawalReason.SOLD, on=NOW.date())
        plan = plan_withdrawal(records, ["1"], terms, today=NOW.date(), station="test")
    apply_correction(delivered, plan)
    sold = weigh(delivered, "1", 5150 - 1000 - 62)
    assert (sold.by_list, sold.by_packing) == (again.by_list, again.by_packing)


def test_a_box_that_was_not_weighed_on_arrival_gets_no_such_mass_once_books_are_out(arrived: Library) -> None:
    unpack(arrived, "1", "978-0-306-40615-7")
    found = weigh(arrived, "1", 4000)
    assert (found.box.gross_g, found.box.arrived_g) == (None, None)
    assert opened_words(found.box, 4000).endswith("recorded is: never weighed.")
    # Once the book is back in it, by taking the unpacking back, it is weighed as it arrived.
    undo(arrived, station="test")
    assert weigh(arrived, "1", 5000).box.arrived_g == 5000


def test_a_copy_that_came_out_of_another_box_may_explain_a_lighter_one(delivered: Library) -> None:
    unpack(delivered, "1", "978-3-16-148410-0")
    # Box 2 weighs as at packing, so the book was not in it then; by its list it has 1500 g less to weigh.
    told = weigh(delivered, "2")
    assert told.by_packing is not None
    assert told.by_list is not None
    assert told.by_packing.verdict is WeightVerdict.AGREES
    assert told.by_list.difference.mean == pytest.approx(1500)
    # Had it weighed 1500 g less on arrival, the book explained it, and where it was found is said.
    lighter = weigh(delivered, "2", 2650 - 1500)
    assert lighter.by_packing is not None
    (probability, words), *_ = explanation_rows(lighter.by_packing, lighter.titles, lighter.elsewhere)
    with delivered.reading() as records:
        found = next(copy.accession for copy, edition in all_copies(records) if edition.key == "F2")
    # It is not looked for: it was found.
    assert words == f"nothing more is gone, if what was found since was packed in this box: {found} (in box B1-56)"
    assert probability == "100 %"
    assert lighter.by_list is not None
    assert lighter.by_list.verdict is WeightVerdict.AGREES


def test_a_copy_of_which_nobody_knows_when_it_left_forbids_the_comparison_with_the_list(delivered: Library) -> None:
    with delivered.reading() as records:
        copy = next(copy for copy, edition in box_contents(records, "B1-56") if edition.key == "G1")
    action = Action(ActionKind.SHELVE_COPY, copy.accession, "test")
    delivered.apply(action, [Change(copy, replace(copy, state=CopyState.SHELVED))])
    found = weigh(delivered, "1")
    assert found.by_list is None
    assert found.elsewhere == {copy.accession: "elsewhere"}


def test_contradicting_figures_are_named(delivered: Library) -> None:
    with delivered.reading() as records:
        edition = next(edition for edition in records.all(Edition) if edition.key == "F1")
    # 280 x 210 x 30 mm weigh no 5 kg.
    wrong = replace(edition, mass_g=5000.0, width_mm=210.0)
    delivered.apply(Action(ActionKind.EDIT_EDITION, "F1", "test"), [Change(edition, wrong)])
    assert len(weigh(delivered, "1").doubted) == 1
