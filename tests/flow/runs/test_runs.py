"""A collector's questions to a household's serial, worked out by hand from its lists."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from intake.edges.store.library import Library
from intake.errors import RefusedError, UsageError
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_edition import plan_edition_edit
from intake.flow.corrections.withdraw_copies import WithdrawalTerms, plan_withdrawal
from intake.flow.lookup.resolve import find_copy, find_edition
from intake.flow.runs.draw_serial import drawn_serial
from intake.flow.runs.edition_view import collects_lines, edition_runs
from intake.flow.runs.named_serial import alike_titles, named_map
from intake.flow.runs.run_view import NO_EXTENT, RunView, none_collects, run_view
from intake.flow.runs.seek_editions import NOT_HEEDED, SeekAnswer, SeekRequest, seek_editions
from intake.flow.runs.serial_map import Holding, collected_parts
from intake.flow.runs.set_extent import set_extent
from intake.flow.runs.spare_copies import freed_words, none_words, spare_copies
from intake.flow.undo import undo
from intake.flow.values.exchange_rates import enter_rate
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import CopyState
from intake.model.serials import Serial
from intake.model.withdrawals import WithdrawalReason
from tests.counting import count_statements
from tests.flow.runs.household import TITLE

TODAY = date(2026, 3, 31)


def view(library: Library, text: str = TITLE) -> RunView:
    with library.reading() as reader:
        return run_view(reader, text)


def sought(library: Library, **request: object) -> SeekAnswer:
    with library.reading() as reader:
        return seek_editions(reader, "tidewrack", SeekRequest(on=TODAY, **request))  # type: ignore[arg-type]


def keys(answer: SeekAnswer) -> list[str]:
    return [one.key for one in answer.best.editions]


def edit(library: Library, edition: str, *values: str) -> None:
    with library.reading() as reader:
        plan = plan_edition_edit(reader, edition, values=values, station="test")
    apply_correction(library, plan)


def test_what_is_known_held_and_missing(household: Library) -> None:
    shown = view(household)
    assert shown.known == "1-12, 12½, 13-60, annual 1-2"
    assert shown.held == "1-12, 12½, 13-40, annual 1"
    assert shown.gaps == ("41-60", "annual 2")
    assert shown.longest == "1-12, 12½, 13-40"
    assert {one.key: one.holding for one in shown.editions if one.holding is not Holding.WANTED} == {
        "T1": Holding.OWNED, "T2": Holding.BOXED, "T3": Holding.OWNED
    }  # fmt: skip
    assert [one.alone for one in shown.editions if one.key in ("T1", "T2", "T3")] == [
        "1-9, 16-20", "annual 1", "12½, 21-40"
    ]  # fmt: skip


def test_it_is_read_with_as_few_changes_as_the_inserted_part_allows(household: Library) -> None:
    steps = [(step.parts, step.name) for step in view(household).reading]
    gathered = "Tidewrack Gathered, vol."
    assert steps == [
        ("1-12", f"{gathered} 1"), ("12½", f"{gathered} 2"), ("13-20", f"{gathered} 1"), ("21-40", f"{gathered} 2"),
        ("annual 1", "Tidewrack in Storm"),
    ]  # fmt: skip


@pytest.mark.parametrize("state", [CopyState.MISSING, CopyState.WITHDRAWN])
def test_a_copy_that_is_missing_or_withdrawn_is_not_held(household: Library, state: CopyState) -> None:
    with household.reading() as reader:
        copy = next(copy for one in run_view(reader, TITLE).editions if one.key == "T3" for copy in one.where)
        number = copy.split()[0]
        if state is CopyState.WITHDRAWN:
            terms = WithdrawalTerms(reason=WithdrawalReason.SOLD, on=TODAY)
            plan = plan_withdrawal(reader, [number], terms, today=TODAY, station="test")
    if state is CopyState.WITHDRAWN:
        apply_correction(household, plan)
    else:
        with household.reading() as reader:
            before = find_copy(reader, number)
        household.apply(Action(ActionKind.EDIT_COPY, number), (Change(before, replace(before, state=state)),))
    shown = view(household)
    assert shown.gaps == ("41-60", "annual 1-2")
    (gone,) = [one.gone for one in shown.editions if one.key == "T3"]
    assert gone == ((f"{number} sold on 2026-03-31",) if state is CopyState.WITHDRAWN else (f"{number} missing",))


def test_what_the_extent_does_not_have_is_told_wherever_its_gaps_are(household: Library) -> None:
    """A slip, 'v. 41-60' for 'no. 41-60', hides the volume that closes the gap from what is to be looked for."""
    for key in ("T4", "T5", "T8"):
        edit(household, key, "collects=Tidewrack Quarterly v. 41-60")
    told = [remark for remark in view(household).remarks if "which the extent" in remark]
    assert [remark.split()[0] for remark in told] == ["T4", "T5", "T8"]
    assert [remark for remark in sought(household).remarks if remark in told] == told
    with household.reading() as reader:
        assert list(drawn_serial(named_map(reader, TITLE)[0]).remarks) == told


def test_the_extent_is_recorded_corrected_and_taken_back(household: Library) -> None:
    assert set_extent(household, "TIDEWRACK quarterly", "1-60, annual 1-2", station="test") is None
    assert set_extent(household, TITLE, "1-50", station="test") is not None
    shown = view(household)
    assert shown.gaps == ("41-50",)
    assert sum("does not have" in remark for remark in shown.remarks) == 4  # T3's annual; T4, T6 and T8 beyond 50
    undo(household, station="test")
    assert view(household).gaps == ("41-60", "annual 2")
    assert set_extent(household, TITLE, "", station="test") is not None
    with household.reading() as reader:
        assert reader.all(Serial) == ()
    assert not view(household).extent
    assert NO_EXTENT in view(household).remarks
    assert view(household).gaps == ("41-60",)
    with pytest.raises(UsageError, match="character 1 runs backwards"):
        set_extent(household, TITLE, "60-1", station="test")


@pytest.mark.parametrize("name", ["Tidewrack", "tide", "Quart"])
def test_an_extent_of_a_name_that_may_be_short_for_a_known_serial_is_refused(household: Library, name: str) -> None:
    with pytest.raises(RefusedError, match="may be short for 'Tidewrack Quarterly'"):
        set_extent(household, name, "1-9", station="test")
    edit(household, "T3", f"collects={name} 1-9")
    assert set_extent(household, name, "1-9", station="test") is not None  # an edition collects it: it is a serial


def test_a_serial_known_by_its_extent_alone_is_said_to_be(household: Library) -> None:
    set_extent(household, "Ebb Letters", "1-9", station="test")
    assert none_collects("Ebb Letters") in view(household, "ebb").remarks
    assert none_collects(TITLE) not in view(household).remarks


def test_a_serial_is_named_in_full_or_by_what_only_one_has(household: Library) -> None:
    assert view(household, "tidewrack").serial == TITLE
    edit(household, "T7", "collects=Tidewrack Almanac 3")
    with pytest.raises(RefusedError, match="may be 2 serials"):
        view(household, "tidewrack")
    with pytest.raises(RefusedError, match="no edition"):
        view(household, "saltmarsh")


def test_the_cheapest_choice_and_the_one_of_fewest(household: Library) -> None:
    no_rate = sought(household)
    assert keys(no_rate) == ["T4"]
    assert [one.key for one in no_rate.unpriced] == ["T8", "T7", "T6"]
    assert any("EUR in USD" in remark for remark in no_rate.remarks)
    enter_rate(household, "EUR", "USD", Decimal("1.25"), on=TODAY, station="test", today=TODAY)
    cheapest = sought(household)
    assert (keys(cheapest), cheapest.best.cost, cheapest.proved) == (["T5", "T6"], Decimal("11.40"), True)
    assert cheapest.best.left == ("annual 2",)
    assert [one.cost for one in cheapest.others] == [Decimal("12.50")]
    assert keys(sought(household, fewest=True)) == ["T4"]
    assert keys(sought(household, parts="44-49")) == ["T5"]
    within = sought(household, budget=Decimal("6"), currency="EUR")
    assert (keys(within), within.best.left) == (["T5"], ("51-60", "annual 2"))
    assert NOT_HEEDED not in within.remarks
    assert NOT_HEEDED in sought(household, budget=Decimal("6"), currency="EUR", fewest=True).remarks
    with pytest.raises(UsageError, match="beyond"):
        sought(household, parts="61")


def test_shelf_freed_by_copies_of_unknown_thickness_is_said_to_be_at_least_so_much(household: Library) -> None:
    with household.reading() as reader:
        plan = plan_edition_edit(reader, "T1", values=(), clear=("thickness_mm",), station="test")
    apply_correction(household, plan)
    with household.reading() as reader:
        answer = spare_copies(reader)
    assert [one.frees_mm for one in answer.copies] == [None]
    assert freed_words(answer) == "Together they free at least 0 mm of shelf; the thickness of 1 copy is unknown"


def test_what_could_go_is_neither_kept_nor_the_last_with_a_part(household: Library) -> None:
    with household.reading() as reader:
        answer = spare_copies(reader)
        soft = spare_copies(reader, prefer="softcover")
    assert [(len(one.also_in), one.collects) for one in answer.copies] == [(1, "Tidewrack Quarterly 1-20")]
    assert (answer.freed_mm, answer.proved) == (30, True)
    assert soft.copies == ()
    assert none_words(soft).startswith("No copy could go: ")
    edit(household, "T1", "why=A gift of uncle Tobias")
    with household.reading() as reader:
        (told,) = spare_copies(reader).copies
    assert (told.title, told.why) == ("Tidewrack Gathered, vol. 1", "A gift of uncle Tobias")


def test_what_is_published_of_a_serial_may_be_given_as_what_an_edition_collects(household: Library) -> None:
    shown = view(household)
    assert shown.published == "no.1-12;12½;13-40,annual 1"
    edit(household, "T7", f"collects={TITLE} {shown.published}")
    again = view(household)
    assert next(one.collects for one in again.editions if one.key == "T7") == shown.held
    assert (again.published, again.gaps) == (shown.published, shown.gaps)


def test_what_cannot_be_understood_is_said_and_left_out(household: Library) -> None:
    with household.reading() as reader:
        before = find_edition(reader, "T3")
    after = replace(before, collects="Tidewrack Quarterly 15-10")
    household.apply(Action(ActionKind.EDIT_EDITION, "T3"), (Change(before, after),))
    shown = view(household)
    assert shown.gaps == ("41-60", "annual 1-2")
    assert any("T3" in remark and "runs backwards" in remark for remark in shown.remarks)
    with pytest.raises(UsageError, match="runs backwards"):
        edit(household, "T4", "collects=Tidewrack Quarterly 9-1")


def test_the_line_while_unpacking_names_the_next_part_and_its_box(household: Library) -> None:
    with household.reading() as reader:
        edition = find_edition(reader, "T1")
        (line,) = collects_lines(reader, edition)
        (run,) = edition_runs(reader, edition.id)
        last = collects_lines(reader, find_edition(reader, "T6"))
        with count_statements(household) as count:
            collects_lines(reader, edition)
            collects_lines(reader, replace(edition, collects=""))
    assert line == "Collects 1-20; the next part, 12½, is in volume 2, still in box B1-56."
    assert (run.alone, run.shared) == ("1-9, 16-20", "10-15")
    assert last == ("Collects 51-60; nothing follows it.",)
    assert count.statements <= 8


def test_a_price_and_its_currency_are_corrected_and_emptied_together(household: Library) -> None:
    def price() -> tuple[Decimal | None, str]:
        with household.reading() as reader:
            edition = find_edition(reader, "T4")
        return edition.price, edition.currency

    edit(household, "T4", "price=13")
    assert price() == (Decimal(13), "EUR")
    edit(household, "T4", "currency=USD")
    assert price() == (Decimal(13), "USD")
    with household.reading() as reader:
        emptied = plan_edition_edit(reader, "T4", clear=["currency"], station="test")
    apply_correction(household, emptied)
    assert price() == (None, "")
    with pytest.raises(UsageError, match="no price"):
        edit(household, "T4", "currency=EUR")


def test_what_may_have_more_than_is_known_never_goes(household: Library) -> None:
    """Whole volume 2 has its numbers 1 to 6; that it has no others is known only once somebody said so."""
    edit(household, "T1", "collects=Saltmarsh v.2")
    edit(household, "T2", "collects=Saltmarsh v.2:no.1-6")
    with household.reading() as reader:
        before, shown = spare_copies(reader), run_view(reader, "saltmarsh")
    assert [one.name for one in before.copies] == ["T2"]
    assert any("so v.2:no.1-6 of it is counted" in remark for remark in shown.remarks)
    set_extent(household, "Saltmarsh", "v.2:no.1-6", station="test")
    with household.reading() as reader:
        after = spare_copies(reader)
    assert (len(after.copies), after.freed_mm) == (2, 62)


def test_what_a_semicolon_says_was_not_published_is_measured_by_the_extent_and_by_other_editions(
    household: Library,
) -> None:
    """ANSI/NISO Z39.71: a semicolon stands for a break where nothing was published."""

    def told() -> list[str]:
        return [remark for remark in view(household, "saltmarsh").remarks if "semicolon" in remark]

    edit(household, "T1", "collects=Saltmarsh v.1-4;v.6")
    (asked,) = told()
    assert asked.startswith("Of T1: by the semicolon, nothing was published as 'v.5'")
    edit(household, "T2", "collects=Saltmarsh v.5:no.1-3")
    assert told() == ["Of T1: T2 has 'v.5', so the semicolon before what follows it is wrong."]
    edit(household, "T2", "collects=Saltmarsh v.6")
    set_extent(household, "Saltmarsh", "v.1-4, v.6", station="test")
    assert told() == []


def test_a_part_in_another_set_is_named_by_its_title(household: Library) -> None:
    edit(household, "T2", "set=Tidewrack Reprinted", "title=Tidewrack Reprinted", "volume=IV")
    with household.reading() as reader:
        (line,) = collects_lines(reader, find_edition(reader, "T1"))
    assert line == "Collects 1-20; the next part, 12½, is in 'Tidewrack Reprinted, vol. IV', still in box B1-56."


def test_a_serial_named_with_a_slip_is_told_wherever_the_map_is_asked_for(household: Library) -> None:
    set_extent(household, "Tidewrack Qaurterly", "1-5", station="test")
    set_extent(household, "Gulls", "1-5", station="test")
    with household.reading() as reader:
        (told,) = alike_titles(collected_parts(reader), "tidewrack qaurterly")
        assert told in run_view(reader, TITLE).remarks
        assert told not in run_view(reader, "Gulls").remarks, "it is none of the two"
    assert told.startswith("'Tidewrack Qaurterly' and 'Tidewrack Quarterly' are almost alike")


@pytest.mark.parametrize("other", ["Moor-Laterne", "Moor Laterne", "moor – laterne"])
def test_one_title_with_and_without_a_hyphen_is_told(library: Library, other: str) -> None:
    for title in ("Moorlaterne", other, "Saltmarsh"):
        set_extent(library, title, "1-5", station="test")
    with library.reading() as reader:
        (told,) = alike_titles(collected_parts(reader), "Moorlaterne")
        assert alike_titles(collected_parts(reader), other) == (told,)
        assert alike_titles(collected_parts(reader), "Saltmarsh") == ()


@pytest.mark.parametrize(
    ("one", "other"),
    [("Acta 12", "Acta 1 2"), ("Gull 2", "Gull 3"), ("Acta A", "Acta B"), ("Moor News", "Moor Review")],
)
def test_serials_that_are_told_apart_by_a_number_or_a_letter_are_two(library: Library, one: str, other: str) -> None:
    for title in (one, other):
        set_extent(library, title, "1-5", station="test")
    with library.reading() as reader:
        assert alike_titles(collected_parts(reader)) == ()


def test_a_double_number_counts_once_is_no_gap_and_half_of_it_stands_for_none(household: Library) -> None:
    edit(household, "T7", "collects=Tidewrack Quarterly 20/21, 40/41")
    shown = view(household)
    assert shown.counts == "41 of 61 parts held, 2 gaps"
    assert shown.held == "1-12, 12½, 13-19, 20/21, 22-39, 40/41, annual 1"
    assert shown.gaps == ("42-60", "annual 2")
    assert sum("20/21" in remark for remark in shown.remarks) == 3  # how it counts; volumes 1 and 2 have one number
    edit(household, "T2", "collects=Tidewrack Quarterly 1-19, 12½, 20/21, 22-40")
    with household.reading() as reader:
        answer = spare_copies(reader)
    assert [one.name for one in answer.copies] == ["T1", "T1"], "whatever volume 1 has of 20/21, volume 2 has it all"
    (told,) = [remark for remark in answer.remarks if "may stand for no other" in remark]
    assert "('Tidewrack Gathered, vol. 2') may stand for no other edition in 40/41 of Tidewrack Quarterly" in told
    edit(household, "T2", "collects=Tidewrack Quarterly 1-19, 12½, 21-40")
    with household.reading() as reader:
        (one,) = spare_copies(reader).copies
        drawn = drawn_serial(named_map(reader, TITLE)[0])
    assert one.name == "T1", "of volume 1 one stays for 20, which no other has"
    bars = {bar.name: bar.parts for line in drawn.lines for bar in line.bars}
    assert bars["Tidewrack Gathered, vol. 1"] == "1-20", "as stated, not 1-19, 20/21"


def test_bars_of_one_name_say_which_edition_each_is(household: Library) -> None:
    edit(household, "T8", "title=Tidewrack Late")
    with household.reading() as reader:
        drawn = drawn_serial(named_map(reader, TITLE)[0])
    bars = {bar.name: bar.ending for line in drawn.lines for bar in line.bars}
    assert bars["Tidewrack Late (softcover)"] == "(softcover)"
    assert bars["Tidewrack Late (cloth)"] == "(cloth)"
    assert "Tidewrack Late" not in bars
    assert bars["Tidewrack Gathered, vol. 1"] == "vol. 1"


def test_what_is_in_another_language_counts_and_is_told(household: Library) -> None:
    for key, language in (("T1", "eng"), ("T2", "eng"), ("T3", "ger"), ("T4", "ger"), ("T5", "eng")):
        edit(household, key, f"language={language}")
    told = [remark for remark in sought(household).remarks if "another language" in remark]
    assert told == [
        f"T4 is in another language (ger) than most that collect {TITLE} (eng): what it has counts all the same."
    ]
    edit(household, "T2", f"collects={TITLE} 1-20", "language=ger")
    with household.reading() as reader:
        answer = spare_copies(reader)
    assert {(one.name, one.also_in) for one in answer.copies} == {("T1", ("A2-50",)), ("T2", ("A2-50",))}
    assert answer.remarks == ("What A3-41 (ger) has is in another language in A2-50 (eng): that counts all the same.",)
